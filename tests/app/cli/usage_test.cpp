// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <gmock/gmock.h>

namespace potwatch::test {
namespace {

using Usage = CommandLine;
using ::testing::HasSubstr;

TEST_F(Usage, helpIsPrintedForTheProgramAndEachCommand) {
    for (const std::vector<std::string>& words : std::vector<std::vector<std::string>>{
             {"--help"}, {"analyse", "--help"}, {"inspect", "--help"}, {"thermocouple", "--help"}}) {
        const Outcome outcome = potwatch(words);
        EXPECT_EQ(outcome.exit_code, 0);
        EXPECT_EQ(outcome.err, "");
        EXPECT_THAT(outcome.out, HasSubstr("Usage: potwatch"));
        EXPECT_THAT(outcome.out, ::testing::ContainsRegex(words.size() > 1 ? "Example:\n  potwatch" : "analyse"));
    }
}

TEST_F(Usage, helpFitsATerminalOfEightyColumns) {
    const std::string help = potwatch({"analyse", "--help"}).out;
    std::size_t begin = 0;
    for (std::size_t end = help.find('\n'); end != std::string::npos; end = help.find('\n', begin)) {
        EXPECT_LE(end - begin, 80U + 1U) << help.substr(begin, end - begin); // "°" is two bytes
        begin = end + 1;
    }
}

TEST_F(Usage, versionIsPrinted) {
    const Outcome outcome = potwatch({"--version"});
    EXPECT_EQ(outcome.exit_code, 0);
    EXPECT_THAT(outcome.out, ::testing::MatchesRegex("potwatch [0-9]+\\.[0-9]+\\.[0-9]+\n"));
}

TEST_F(Usage, withoutADisplayTheWindowIsRefusedAndTheCommandsAreNamed) {
    expectOneFault(potwatch({}, {.no_display = true}), 3, "potwatch analyse FILE.csv");
    const std::string csv = file("rod.csv", castingCsv());
    expectOneFault(potwatch({csv}, {.no_display = true}), 3, "potwatch analyse FILE.csv");
}

TEST_F(Usage, aFileForTheWindowThatIsNotThereIsNamed) {
    expectOneFault(potwatch({"nowhere.csv"}, {.no_display = true}), 1, "nowhere.csv");
}

TEST_F(Usage, unknownOptionIsNamed) {
    expectOneFault(potwatch({"analyse", "--sharpen"}), 2, "--sharpen");
}

TEST_F(Usage, unknownCommandIsNamed) {
    expectOneFault(potwatch({"anneal"}), 2, "\"anneal\"");
}

TEST_F(Usage, missingFileNameIsWrongUsage) {
    expectOneFault(potwatch({"inspect", "--json"}), 2, "FILE");
}

TEST_F(Usage, numberWithACommaIsWrongUsage) {
    expectOneFault(potwatch({"inspect", "--interval", "0,5", "x.csv"}), 2, "with a point");
}

TEST_F(Usage, plotOfAnUnknownKindIsWrongUsage) {
    expectOneFault(potwatch({"analyse", "x.csv", "--plot", "x.gif"}), 2, ".svg, .pdf, .png");
}

TEST_F(Usage, anOutputNeverOverwritesAnInput) {
    const std::string csv = file("rod.csv", castingCsv());
    expectOneFault(potwatch({"analyse", csv, "--series", csv}), 2, "would be overwritten");
}

TEST_F(Usage, anOptionDoesNotSwallowTheFilesBehindIt) {
    const std::string csv = file("rod.csv", castingCsv());
    for (const std::vector<std::string>& option :
         std::vector<std::vector<std::string>>{{"--columns", "pot_c"}, {"--unit", "degC"}}) {
        EXPECT_EQ(potwatch({"inspect", option[0], option[1], csv}).exit_code, 0) << option[0];
    }
}

TEST_F(Usage, fullStandardOutputIsAStorageFault) {
    const Outcome outcome = potwatch({"--version"}, {.output = "/dev/full"});
    expectOneFault(outcome, 3, "standard output");
}

TEST_F(Usage, interruptEndsWithCode130) {
    const Outcome outcome = potwatch({"analyse", "-"}, {.input = castingCsv(), .interrupt = true});
    EXPECT_EQ(outcome.exit_code, 130) << outcome.err;
    EXPECT_EQ(outcome.out, "");
}

} // namespace
} // namespace potwatch::test
