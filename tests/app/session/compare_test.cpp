// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/compare_text.h"
#include "app/session/compare.h"
#include "tests/analysis/compare/compared_runs.h"

#include <gmock/gmock.h>

#include <string>
#include <vector>

namespace potwatch::session {
namespace {

using compare::boiledRun;
using compare::ComparedRun;
using compare::inventedRun;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

std::vector<ComparedRun> series() {
    return {inventedRun("rod 01", 0.08, 63.0), inventedRun("rod 02", 0.12, 76.1), inventedRun("rod 03", 0.2, 89.8),
            inventedRun("rod 04", 0.3, 97.0),  boiledRun("rod 05", 0.6),          boiledRun("rod 06", 1.2)};
}

TEST(CompareRuns, putsFiguresTrendLimitAndNextRateTogether) {
    const auto runs = series();
    const auto comparison = compareRuns(runs, {.limit = 95.0});
    ASSERT_TRUE(comparison);
    EXPECT_EQ(comparison->table.size(), 6U);
    EXPECT_EQ(comparison->table[0].size(), comparison->columns.size());
    ASSERT_TRUE(comparison->trend);
    EXPECT_EQ(comparison->trend->censored, 2U);
    EXPECT_EQ(comparison->scatter[4].point->y, 100.5); // at its boiling point, not at what was read
    ASSERT_TRUE(comparison->at_limit && comparison->at_limit->estimate);
    EXPECT_GT(comparison->at_limit->x, 0.2);
    EXPECT_LT(comparison->at_limit->x, 0.3);
    ASSERT_TRUE(comparison->next);
    EXPECT_THAT(format::nextText(*comparison->next, 95.0, {.x = comparison->x, .y = comparison->y}),
                testing::StartsWith("Try "));
    EXPECT_THAT(comparison->warnings, IsEmpty());
}

TEST(CompareRuns, takesAnyFigureAgainstAnyOther) {
    auto runs = series();
    for (std::size_t i = 0; i < runs.size(); ++i) {
        runs[i].batch.outcome.void_percent = 0.5 + 0.4 * static_cast<double>(i * i);
    }
    const auto comparison = compareRuns(runs, {.x = "peak_temperature_c", .y = "void_percent"});
    ASSERT_TRUE(comparison);
    EXPECT_TRUE(comparison->trend);
    EXPECT_FALSE(comparison->next);
    EXPECT_EQ(comparison->trend->censored, 0U);
}

TEST(CompareRuns, namesTheNearestFigure) {
    const auto runs = series();
    const auto wrong = compareRuns(runs, {.x = "dose_rate_g_per_mim"});
    ASSERT_FALSE(wrong);
    EXPECT_EQ(wrong.error().what, "there is no figure \"dose_rate_g_per_mim\"");
    EXPECT_THAT(wrong.error().remedy, HasSubstr("\"dose_rate_g_per_min\""));
    EXPECT_THAT(figureFor("hardness").error().what, HasSubstr("is a text"));
    EXPECT_TRUE(figureFor("hardness", false));
}

TEST(CompareRuns, countsARunThatIsGivenTwiceOnce) {
    auto runs = series();
    runs.push_back(runs[2]);
    const auto comparison = compareRuns(runs, {.limit = 95.0});
    ASSERT_TRUE(comparison);
    EXPECT_EQ(comparison->names.back(), "rod 03 (2)");
    EXPECT_EQ(comparison->trend->measured, 4U);
    EXPECT_THAT(comparison->warnings, Contains(HasSubstr("the same samples as rod 03")));
}

TEST(CompareRuns, saysWhichRunIsNotInTheTrendAndWhy) {
    auto runs = series();
    runs[0].batch.dose.reset();
    runs[1].findings.landmarks.peak.reset();
    runs[2].batch.blank = true;
    const auto comparison = compareRuns(runs, {});
    ASSERT_TRUE(comparison);
    EXPECT_THAT(comparison->warnings,
                testing::IsSupersetOf({HasSubstr("rod 01 is not in the overlay: no dose is stated"),
                                       HasSubstr("rod 01 is not in the trend: dosing rate unknown: no dose is stated"),
                                       HasSubstr("rod 02 is not in the trend: peak temperature unknown"),
                                       HasSubstr("rod 03 is not in the trend: a blank")}));
}

TEST(CompareRuns, saysWhatElseTheRunsDifferIn) {
    auto runs = series();
    runs[1].batch.charge.resin_g = 120.0;
    runs[2].batch.vessel.name = "cup";
    const auto comparison = compareRuns(runs, {});
    EXPECT_THAT(comparison->warnings,
                ElementsAre(testing::AllOf(HasSubstr("resin (80 to 120 g)"), HasSubstr("vessel (beaker, cup)"))));
}

TEST(CompareRuns, saysThatTheLimitLiesBelowEveryRun) {
    const auto runs = series();
    const auto comparison = compareRuns(runs, {.limit = 60.0});
    ASSERT_TRUE(comparison);
    EXPECT_THAT(comparison->warnings, Contains(HasSubstr("the limit of 60 °C lies below every run")));
    ASSERT_TRUE(comparison->next);
    EXPECT_LT(comparison->next->rate, 0.08);
}

TEST(CompareRuns, saysOfFewRunsWhatCanBeSaid) {
    auto runs = series();
    runs.resize(2);
    const auto two = compareRuns(runs, {.limit = 95.0});
    ASSERT_TRUE(two && two->at_limit);
    EXPECT_FALSE(two->at_limit->estimate);
    EXPECT_THAT(two->warnings, Contains(HasSubstr("a third run")));
    runs.resize(1);
    const auto one = compareRuns(runs, {.limit = 95.0});
    ASSERT_TRUE(one);
    EXPECT_FALSE(one->trend);
    EXPECT_THAT(one->no_trend, HasSubstr("one run"));
    EXPECT_EQ(one->next->reason, compare::NextReason::one_run_under);
    const std::vector<ComparedRun> boiled{boiledRun("rod 05", 0.6), boiledRun("rod 06", 1.2)};
    const auto all = compareRuns(boiled, {.limit = 95.0});
    ASSERT_TRUE(all);
    EXPECT_THAT(all->no_trend, HasSubstr("every run boiled"));
    EXPECT_DOUBLE_EQ(all->next->rate, 0.3);
    EXPECT_FALSE(compareRuns({}, {}));
}

TEST(CompareCsv, hasAColumnAFigureAndTheEndsOfItsInterval) {
    auto runs = series();
    runs[0].name = "rod, \"first\"";
    const auto comparison = compareRuns(runs, {});
    const std::string csv = compareCsv(*comparison);
    EXPECT_THAT(csv, testing::StartsWith("run,dose_rate_g_per_min,dose_total_g,"));
    EXPECT_THAT(csv, HasSubstr(",peak_temperature_c,peak_temperature_c_low,peak_temperature_c_high,"));
    EXPECT_THAT(csv, HasSubstr("\n\"rod, \"\"first\"\"\",0.08,4,"));
    const std::vector<std::size_t> order{5, 1};
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 7);
    const std::string two = compareCsv(*comparison, order);
    EXPECT_EQ(std::count(two.begin(), two.end(), '\n'), 3);
    EXPECT_LT(two.find("\nrod 06,"), two.find("\nrod 02,"));
}

} // namespace
} // namespace potwatch::session
