// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <charconv>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

namespace potwatch::test {
namespace {

using Compare = CommandLine;
using nlohmann::json;
using ::testing::HasSubstr;

std::string truth(const std::string& name) {
    return std::string(POTWATCH_SOURCE_DIR) + "/tests/reference/truth/" + name;
}

std::string contentOf(const std::string& path) {
    std::ifstream stream(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

std::vector<std::string> command(int first, int last, std::vector<std::string> more) {
    std::vector<std::string> words{"compare"};
    for (int run = first; run <= last; ++run) {
        words.push_back(truth(fmt::format("s{:02}.csv", run)));
    }
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

// The largest rate that keeps the peak at or under 95 °C. Source: ../shared/truth/truth.json, its rate_for_95_c.
constexpr double true_rate = 0.25664;

TEST_F(Compare, findsTheRateAtTheLimitFromRunsOfWhichSomeBoiled) {
    const Outcome outcome = potwatch(command(1, 7, {"--limit", "95", "--json"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json found = outcome.json();
    EXPECT_EQ(found.at("format"), 1);
    ASSERT_EQ(found.at("table").size(), 7U);
    EXPECT_EQ(found.at("table")[3].at("run"), "s04");
    EXPECT_NEAR(found.at("table")[3].at("dose_rate_g_per_min").get<double>(), 0.35, 1e-9);
    EXPECT_NEAR(found.at("table")[3].at("peak_temperature_c").get<double>(), 100.22, 0.3);
    const json& trend = found.at("trend");
    EXPECT_EQ(trend.at("limit_c"), 95.0);
    EXPECT_EQ(trend.at("censored"), json({"s05", "s06", "s07"}));
    const json& rate = trend.at("rate_at_limit_g_per_min");
    EXPECT_LE(rate.at("low").get<double>(), true_rate);
    EXPECT_GE(rate.at("high").get<double>(), true_rate);
    EXPECT_LE(rate.at("high").get<double>(), 2.5 * rate.at("low").get<double>());
    EXPECT_NEAR(rate.at("value").get<double>() / true_rate, 1.0, 0.15);
    EXPECT_THAT(found.at("next").at("sentence").get<std::string>(), HasSubstr("g/min next"));
    EXPECT_LT(found.at("next").at("rate_g_per_min").get<double>(), true_rate);
}

TEST_F(Compare, printsTablesAndSentencesWithinATerminal) {
    const Outcome outcome = potwatch(command(1, 4, {"--limit", "95"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("peak temperature"));
    EXPECT_THAT(outcome.out, HasSubstr("comes to 95 °C at a dosing rate of"));
    EXPECT_THAT(outcome.out, HasSubstr("Try "));
}

TEST_F(Compare, saysWhatCannotBeSaid) {
    const Outcome one = potwatch(command(1, 1, {"--limit", "95", "--json"}));
    EXPECT_EQ(one.exit_code, 4);
    EXPECT_TRUE(one.json().at("trend").at("rate_at_limit_g_per_min").is_null());
    EXPECT_THAT(one.json().at("trend").at("no_trend").get<std::string>(), HasSubstr("one run"));
    EXPECT_EQ(one.json().at("next").at("reason"), "one run, under");
    const Outcome boiled = potwatch(command(5, 7, {"--limit", "95", "--json"}));
    EXPECT_EQ(boiled.exit_code, 4);
    EXPECT_NEAR(boiled.json().at("next").at("rate_g_per_min").get<double>(), 0.3, 1e-9);
    const Outcome two = potwatch(command(1, 2, {"--limit", "80", "--json"}));
    EXPECT_EQ(two.exit_code, 0) << two.err;
    EXPECT_TRUE(two.json().at("trend").at("rate_at_limit_g_per_min").is_null());
    EXPECT_TRUE(two.json().at("trend").at("x_at_limit_by_trend").is_number());
}

TEST_F(Compare, takesFilesInMixedUnits) {
    std::string csv = "time (s),pot (°F)\n"; // s01 once more
    std::ifstream original(truth("s01.csv"));
    std::string line;
    std::getline(original, line);
    while (std::getline(original, line)) {
        const std::size_t first = line.find(',');
        const std::size_t second = line.find(',', first + 1);
        double celsius = 0.0; // std::stod would read by the locale
        std::from_chars(line.data() + first + 1, line.data() + second, celsius);
        csv += fmt::format("{},{:.2f}\n", line.substr(0, first), 32.0 + 1.8 * celsius);
    }
    const std::string again = file("again.csv", csv);
    static_cast<void>(file("again.batch.toml", contentOf(truth("s01.batch.toml"))));
    const Outcome outcome = potwatch(command(1, 3, {again, "--json"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const json found = outcome.json();
    EXPECT_NEAR(found.at("table")[3].at("peak_temperature_c").get<double>(),
                found.at("table")[0].at("peak_temperature_c").get<double>(), 0.02);
}

TEST_F(Compare, noticesARunThatIsGivenTwice) {
    const std::string again = file("again.csv", contentOf(truth("s01.csv")));
    static_cast<void>(file("again.batch.toml", contentOf(truth("s01.batch.toml"))));
    const Outcome outcome = potwatch(command(1, 3, {again, "--limit", "80", "--json"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json().at("trend").at("measured"), 3);
    EXPECT_EQ(outcome.json().at("table")[3].at("not_in_trend"), "the same samples as s01: a run counts once");
}

TEST_F(Compare, namesTheNearestFigure) {
    expectOneFault(potwatch(command(1, 2, {"--x", "dose_rate"})), 2, "dose_rate_g_per_min");
    expectOneFault(potwatch(command(1, 2, {"--align", "end"})), 2, "start, dose, onset or peak");
}

TEST_F(Compare, writesTableAndPlot) {
    const Outcome outcome = potwatch(command(1, 3, {"--csv", path("runs.csv"), "--json"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json().at("written"), json({path("runs.csv")}));
    EXPECT_EQ(linesOf(contentOf(path("runs.csv"))), 4);
}

} // namespace
} // namespace potwatch::test
