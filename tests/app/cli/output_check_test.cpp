// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output_check.h"
#include "tests/app/cli/program.h"

#include <CLI/CLI.hpp>
#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

namespace potwatch::test {
namespace {

using cli::checkOutput;
using cli::OutputName;
using cli::Written;
using ::testing::HasSubstr;

class OutputCheck : public CommandLine {
protected:
    // Why an output is refused; empty where it is not.
    [[nodiscard]] static std::string whyNot(const OutputName& output, const std::vector<std::string>& inputs = {}) {
        try {
            checkOutput(output, inputs);
        } catch (const CLI::ParseError& error) {
            return error.what();
        }
        return {};
    }
};

TEST_F(OutputCheck, letsAnOutputReplaceOneOfItsKind) {
    EXPECT_EQ(whyNot({"--csv", path("new.csv"), Written::table, {}}), "");
    EXPECT_EQ(whyNot({"--csv", file("old.csv", "run,peak_c\nrod 01,66\n"), Written::table, {}}), "");
    EXPECT_EQ(whyNot({"--out", file("old.toml", "format = 1\n[model]\nkind = \"nth-order\"\n"), Written::kinetics, {}}),
              "");
    EXPECT_EQ(whyNot({"--out", file("pot.toml", "[vessel]\nname = \"beaker\"\n"), Written::batch, {}}), "");
    EXPECT_EQ(whyNot({"--plot", file("old.svg", "<?xml version=\"1.0\"?><svg/>"), Written::picture, {".svg"}}), "");
    EXPECT_EQ(whyNot({"--csv", "/dev/null", Written::table, {}}), "");
}

TEST_F(OutputCheck, refusesWhatIsReadByAnyNameOfIt) {
    const std::string table = file("run.csv", "time_s,pot_c\n0,20\n");
    std::filesystem::create_hard_link(table, path("other-name.csv"));
    std::filesystem::create_symlink(table, path("link.csv"));
    for (const std::string& name : {table, path("other-name.csv"), path("link.csv"), path("./run.csv")}) {
        EXPECT_THAT(whyNot({"--series", name, Written::table, {}}, {table}), HasSubstr("read as input")) << name;
    }
}

TEST_F(OutputCheck, refusesWhatHoldsSomethingElse) {
    const std::string batch = file("rod.batch.toml", "# the rod\nformat = 1\n[charge]\nresin_g = 80.0\n");
    const std::string book = file("rods.potbook", std::string("SQLite format 3\0more", 20));
    EXPECT_THAT(whyNot({"--series", batch, Written::table, {}}), HasSubstr("batch file"));
    EXPECT_THAT(whyNot({"--out", batch, Written::kinetics, {}}), HasSubstr("batch file"));
    EXPECT_THAT(whyNot({"--csv", book, Written::table, {}}), HasSubstr("batch book"));
    EXPECT_THAT(whyNot({"--plot", file("table.svg", "time_s,pot_c\n"), Written::picture, {".svg"}}), HasSubstr("text"));
    EXPECT_THAT(whyNot({"--out", file("kinetics.toml", "format = 1\n[model]\nn = 1.0\n"), Written::batch, {}}),
                HasSubstr("kinetics file"));
}

TEST_F(OutputCheck, keepsTheBatchFileBesideATable) {
    const std::string table = file("run.csv", castingCsv());
    const std::string text = "format = 1\n[sensor]\nlag_s = 4.0\n";
    const std::string batch = file("run.batch.toml", text);
    for (const std::vector<std::string>& words : {std::vector<std::string>{"fit", table, "--out", batch},
                                                  {"analyse", table, "--series", batch},
                                                  {"compare", table, "--csv", batch}}) {
        const Outcome outcome = potwatch(words);
        EXPECT_EQ(outcome.exit_code, 2) << words.front();
        EXPECT_THAT(outcome.err, HasSubstr("would be overwritten"));
    }
    std::ifstream stream(batch, std::ios::binary);
    EXPECT_EQ(std::string(std::istreambuf_iterator<char>(stream), {}), text);
}

} // namespace
} // namespace potwatch::test
