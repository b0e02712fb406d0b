// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/wild_run.h"

#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

// wild_pots FOLDER [--per-kind 10] [--seed 1] [--kind NAME]: writes KIND-N.csv, KIND-N.batch.toml and KIND-N.truth.json
// into the folder.
namespace {

using namespace potwatch;

void write(const std::filesystem::path& path, const std::string& text) {
    std::ofstream file(path, std::ios::binary);
    file << text;
    if (!file.flush()) {
        throw std::runtime_error("cannot write " + path.string());
    }
}

std::string option(const std::vector<std::string>& words, const std::string& name, const std::string& otherwise) {
    const auto at = std::find(words.begin(), words.end(), name);
    return at == words.end() || at + 1 == words.end() ? otherwise : *(at + 1);
}

void writeAll(const std::vector<std::string>& words) {
    const std::filesystem::path folder = words.at(0);
    std::filesystem::create_directories(folder);
    const int per_kind = std::stoi(option(words, "--per-kind", "10"));
    const std::uint64_t seed = std::stoull(option(words, "--seed", "1"));
    const std::string only = option(words, "--kind", "");
    for (const std::string& kind : wild::kindNames()) {
        for (int n = 1; n <= per_kind && (only.empty() || only == kind); ++n) {
            const wild::WildRun run = wild::wildRun(kind, seed, n);
            write(folder / (run.name + ".csv"), wild::csvOf(run));
            write(folder / (run.name + ".batch.toml"), run.batch);
            write(folder / (run.name + ".truth.json"), wild::jsonOf(run));
        }
    }
}

} // namespace

int main(int count, char** words) {
    if (count < 2) {
        std::fputs("usage: wild_pots FOLDER [--per-kind 10] [--seed 1] [--kind NAME]\n", stderr);
        return 1;
    }
    try {
        writeAll({words + 1, words + count});
    } catch (const std::exception& fault) {
        std::fprintf(stderr, "%s\n", fault.what());
        return 1;
    }
    return 0;
}
