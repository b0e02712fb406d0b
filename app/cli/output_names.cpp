// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output_names.h"

#include <algorithm>
#include <filesystem>
#include <set>

namespace potwatch::cli {
namespace {

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

} // namespace

std::vector<std::string> namesForRuns(const std::string& out, std::span<const std::string> runs) {
    const std::filesystem::path path(out);
    const std::string stem = (path.parent_path() / path.stem()).string();
    std::vector<std::string> names;
    std::set<std::string> taken;
    for (const std::string& run : runs) {
        const std::string first = stem + "-" + asFileName(run);
        std::string name = first;
        for (int number = 2; !taken.insert(name).second; ++number) {
            name = first + "-" + std::to_string(number);
        }
        names.push_back(name + path.extension().string());
    }
    return names;
}

std::string endingOf(const std::string& path) {
    std::string ending = std::filesystem::path(path).extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(), lower);
    return ending;
}

} // namespace potwatch::cli
