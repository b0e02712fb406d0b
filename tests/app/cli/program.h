// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::test {

// What a finished program left.
struct Outcome {
    int exit_code = -1;
    std::string out;
    std::string err;

    [[nodiscard]] nlohmann::json json() const { return nlohmann::json::parse(out); }
};

// How to start the program, beyond its words.
struct Start {
    std::string input = {};  // for its standard input
    std::string output = {}; // a file that takes its standard output
    std::string folder = {}; // its current folder; empty = the test's
    bool as_nobody = false;  // as an unprivileged user (only root may)
    bool no_display = false; // as on a machine that has none
    bool interrupt = false;  // Ctrl-C once it listens for it, its standard input still open
};

// Runs the potwatch program to its end.
[[nodiscard]] Outcome potwatch(const std::vector<std::string>& words, const Start& start = {});

// A folder of its own for each test, gone afterwards; and, where the suite runs under another locale, a check that it
// is there.
class CommandLine : public ::testing::Test {
protected:
    void SetUp() override;
    void TearDown() override;

    // Writes a file into the folder and returns its path.
    [[nodiscard]] std::string file(const std::string& name, std::string_view content) const;
    [[nodiscard]] std::string path(const std::string& name) const { return (folder_ / name).string(); }

    std::filesystem::path folder_;
};

// A reading as a logger writes it: a pot that warms, reacts and cools; "time_s,pot_c", 2 s apart. Invented.
[[nodiscard]] std::string castingCsv();

// The same pot in which nothing happens.
[[nodiscard]] std::string idleCsv();

// How many lines a text has.
[[nodiscard]] long linesOf(std::string_view text);

// Exactly one line on standard error that starts with the program's name and holds the words; nothing of a crash.
void expectOneFault(const Outcome& outcome, int exit_code, const std::string& words);

} // namespace potwatch::test
