// SPDX-License-Identifier: GPL-3.0-or-later
// What a person feeds to the program by mistake: one clear line on standard error, exit code 1, and no made-up number.
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>
#include <sys/stat.h>
#include <unistd.h>

namespace potwatch::test {
namespace {

using BadInput = CommandLine;

// Every command that reads a table refuses it the same way, with and without --json.
void expectRefused(const std::string& path, const std::string& words) {
    for (const std::string command : {"analyse", "inspect"}) {
        expectOneFault(potwatch({command, path}), 1, words);
        const Outcome outcome = potwatch({command, path, "--json"});
        expectOneFault(outcome, 1, words);
        EXPECT_EQ(outcome.json()["faults"].size(), 1U);
        EXPECT_TRUE(outcome.json()[command == "analyse" ? "runs" : "files"].empty());
    }
}

TEST_F(BadInput, emptyFileIsRefused) {
    expectRefused(file("empty.csv", ""), "empty.csv");
}

TEST_F(BadInput, headerWithoutRowsIsRefused) {
    expectRefused(file("header.csv", "time_s,pot_c\n"), "header.csv");
}

TEST_F(BadInput, oneRowIsRefused) {
    expectRefused(file("one.csv", "time_s,pot_c\n0,22.0\n"), "one.csv");
}

TEST_F(BadInput, textWithoutNumbersIsRefused) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 100; ++i) {
        text += fmt::format("{},warm\n", i);
    }
    expectRefused(file("text.csv", text), "text.csv");
}

TEST_F(BadInput, columnOfNotANumberIsRefused) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 100; ++i) {
        text += fmt::format("{},nan\n", i);
    }
    expectRefused(file("nan.csv", text), "nan.csv");
}

TEST_F(BadInput, infiniteColumnIsRefused) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 100; ++i) {
        text += fmt::format("{},{}\n", i, i % 2 == 0 ? "inf" : "-Infinity");
    }
    expectRefused(file("inf.csv", text), "inf.csv");
}

TEST_F(BadInput, columnOfImpossibleTemperaturesIsRefused) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 100; ++i) {
        text += fmt::format("{},1e308\n", i);
    }
    expectRefused(file("huge.csv", text), "huge.csv");
}

TEST_F(BadInput, binaryFileIsRefused) {
    std::string bytes = "\x7f"
                        "ELF";
    for (int i = 0; i < 10000; ++i) {
        bytes += static_cast<char>(i * 37 % 251);
        bytes += '\0';
        bytes += '\0';
    }
    expectRefused(file("binary.csv", bytes), "binary.csv");
}

TEST_F(BadInput, spreadsheetIsRefusedWithTheWayOut) {
    expectRefused(file("cure.xlsx", std::string("PK\x03\x04\x14\x00\x06\x00", 8) + std::string(500, 'x')),
                  "save it as CSV");
}

TEST_F(BadInput, lineOfThirtyMegabytesIsRefused) {
    expectRefused(file("long.csv", "time_s,pot_c\n" + std::string(30'000'000, '1')), "long.csv");
}

TEST_F(BadInput, missingFileIsTheInputsFault) {
    expectRefused(path("nowhere.csv"), "nowhere.csv");
}

TEST_F(BadInput, folderIsRefused) {
    expectRefused(folder_.string(), folder_.string());
}

TEST_F(BadInput, fileWithoutPermissionIsRefused) {
    const std::string locked = file("locked.csv", castingCsv());
    ASSERT_EQ(::chmod(locked.c_str(), 0), 0);
    if (::geteuid() != 0) {
        expectOneFault(potwatch({"analyse", locked}), 1, "locked.csv");
        return;
    }
    // Root reads everything: another user must try, and must be able to reach the program and the folder.
    std::filesystem::permissions(folder_, std::filesystem::perms::all);
    const Outcome version = potwatch({"--version"}, {.as_nobody = true});
    if (version.exit_code != 0) {
        GTEST_SKIP() << "the program cannot be run as another user here: " << version.err;
    }
    expectOneFault(potwatch({"analyse", locked}, {.as_nobody = true}), 1, "locked.csv");
}

TEST_F(BadInput, batchFileFaultsAreAllNamedWithTheirLines) {
    const std::string csv = file("rod.csv", castingCsv());
    const std::string batch =
        file("rod.batch.toml", "format = 1\n[charge]\nresin_gram = 80.0\nspecific_heat_j_per_g_k = -2.0\n");
    const Outcome outcome = potwatch({"analyse", csv});
    EXPECT_EQ(outcome.exit_code, 1);
    EXPECT_EQ(linesOf(outcome.err), 2) << outcome.err;
    EXPECT_THAT(outcome.err, ::testing::HasSubstr(batch + ":3:"));
    EXPECT_THAT(outcome.err, ::testing::HasSubstr(batch + ":4:"));
}

TEST_F(BadInput, goodFilesAreStillAnalysed) {
    const std::string good = file("good.csv", castingCsv());
    const Outcome outcome = potwatch({"analyse", path("nowhere.csv"), good, "--json"});
    expectOneFault(outcome, 1, "nowhere.csv");
    ASSERT_EQ(outcome.json()["runs"].size(), 1U);
    EXPECT_EQ(outcome.json()["runs"][0]["file"], good);
}

TEST_F(BadInput, namesOfFilesCannotCommandTheTerminal) {
    const Outcome outcome = potwatch({"inspect", path("a\033[2Jb\nc.csv")});
    expectOneFault(outcome, 1, "c.csv");
    EXPECT_EQ(outcome.err.find('\033'), std::string::npos);
}

} // namespace
} // namespace potwatch::test
