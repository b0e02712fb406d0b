// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

namespace potwatch::test {
namespace {

using Inspect = CommandLine;
using nlohmann::json;
using ::testing::HasSubstr;

std::string withBadLines(int count) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 60; ++i) {
        text += fmt::format("{},{}.5\n", i, 20 + i);
    }
    for (int i = 0; i < count; ++i) {
        text += "the lid was lifted\n";
    }
    return text;
}

TEST_F(Inspect, saysWhatTheImporterMakesOfAFile) {
    const std::string csv = file("pot.csv", "Zeit;Topf (°C)\n0,0;22,5\n0,5;22,75\n1,0;99,25\n1,5;50,0\n2,0;40,0\n");
    const json read = potwatch({"inspect", csv, "--json", "--time", "Zeit"}).json();
    EXPECT_EQ(read["format"], 1);
    const json& found = read["files"].at(0);
    EXPECT_EQ(found["file"], csv);
    EXPECT_EQ(found["encoding"], "UTF-8");
    EXPECT_EQ(found["delimiter"], "semicolon");
    EXPECT_EQ(found["decimal"], "comma");
    EXPECT_EQ(found["header_lines"], 1);
    EXPECT_EQ(found["rows_kept"], 5);
    EXPECT_EQ(found["span_s"], 2.0);
    EXPECT_EQ(found["median_interval_s"], 0.5);
    EXPECT_EQ(found["columns"].at(0)["unit"], "degC");
    EXPECT_EQ(found["columns"].at(0)["max"], 99.25);
    EXPECT_EQ(found["columns"].at(0)["max_at_s"], 1.0);
}

TEST_F(Inspect, namesColumnsWithoutAHeaderNull) {
    std::string text;
    for (int i = 0; i < 30; ++i) {
        text += fmt::format("{}.25,{}.5\n", i, 20 + i);
    }
    const json read = potwatch({"inspect", file("bare.csv", text), "--json"}).json();
    EXPECT_TRUE(read["files"].at(0)["columns"].at(0)["name"].is_null()) << read;
}

TEST_F(Inspect, listsEveryRefusedLineInJson) {
    const json read = potwatch({"inspect", file("lid.csv", withBadLines(25)), "--json"}).json();
    const json& found = read["files"].at(0);
    EXPECT_EQ(found["rows_refused"], 25);
    ASSERT_EQ(found["refused"].size(), 25U);
    EXPECT_EQ(found["refused"][0]["line"], 62);
    EXPECT_FALSE(found["refused"][0]["reason"].get<std::string>().empty());
}

TEST_F(Inspect, listsTenRefusedLinesAsTextAndCountsTheRest) {
    const std::string text = potwatch({"inspect", file("lid.csv", withBadLines(25))}).out;
    EXPECT_THAT(text, HasSubstr("line 62:"));
    EXPECT_THAT(text, HasSubstr("line 71:"));
    EXPECT_THAT(text, ::testing::Not(HasSubstr("line 72:")));
    EXPECT_THAT(text, HasSubstr("and 15 more (use --json for all)"));
}

TEST_F(Inspect, countsTimesThatRunBackwards) {
    std::string text = "time_s,pot_c\n";
    for (int i = 0; i < 40; ++i) {
        text += fmt::format("{},{}.5\n", i == 20 ? 3 : i, 20 + i);
    }
    const json read = potwatch({"inspect", file("back.csv", text), "--json"}).json();
    const json& found = read["files"].at(0);
    EXPECT_EQ(found["rows_kept"], 40);
    ASSERT_GE(found["clock_faults"].size(), 1U);
    EXPECT_EQ(found["clock_faults"][0]["line"], 22);
}

TEST_F(Inspect, readsStandardInput) {
    const Outcome outcome = potwatch({"inspect", "-", "--json"}, {.input = castingCsv()});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json()["files"].at(0)["rows_kept"], 1500);
}

TEST_F(Inspect, refusedFileDoesNotHideTheOthers) {
    const std::string good = file("good.csv", castingCsv());
    const Outcome outcome = potwatch({"inspect", path("nowhere.csv"), good});
    expectOneFault(outcome, 1, "nowhere.csv");
    EXPECT_THAT(outcome.out, HasSubstr(good));
    EXPECT_THAT(outcome.out, HasSubstr("pot_c"));
}

} // namespace
} // namespace potwatch::test
