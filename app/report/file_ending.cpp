// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/file_ending.h"

#include <cstddef>

namespace potwatch::report {

bool hasEnding(std::string_view path, std::string_view ending) {
    if (path.size() < ending.size()) {
        return false;
    }
    path.remove_prefix(path.size() - ending.size());
    for (std::size_t i = 0; i < ending.size(); ++i) {
        const char c = path[i];
        if ((c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c) != ending[i]) {
            return false;
        }
    }
    return true;
}

} // namespace potwatch::report
