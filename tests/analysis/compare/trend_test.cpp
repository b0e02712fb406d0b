// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/at_limit.h"
#include "analysis/compare/linear_fit.h"
#include "analysis/compare/next_rate.h"
#include "analysis/compare/trend.h"

#include <gmock/gmock.h>

#include <cmath>
#include <limits>
#include <vector>

namespace potwatch::compare {
namespace {

using testing::HasSubstr;
using Points = std::vector<TrendPoint>;

Points along(double (*peak)(double), const std::vector<double>& rates) {
    Points points;
    double off = 0.3;
    for (const double rate : rates) {
        points.push_back({.x = rate, .y = peak(rate) + off, .u = 0.1});
        off = -off;
    }
    return points;
}

TEST(LinearFit, refusesWhatPointsDoNotDetermine) {
    const std::vector<double> same{1.0, 2.0, 1.0, 2.0, 1.0, 2.0};
    EXPECT_FALSE(linearFit(same, 2, std::vector{1.0, 2.0, 3.0}));
    EXPECT_FALSE(linearFit(std::vector{1.0, 2.0}, 2, std::vector{1.0}));
}

TEST(LinearFit, weighsPoints) {
    const std::vector<double> basis{1.0, 1.0, 1.0};
    const auto fit = linearFit(basis, 1, std::vector{1.0, 2.0, 6.0}, std::vector{1.0, 1.0, 2.0});
    ASSERT_TRUE(fit);
    EXPECT_DOUBLE_EQ(fit->parameters[0], 15.0 / 4.0);
}

TEST(Trend, findsTheFormThatTheRunsFollow) {
    const std::vector<double> rates{0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.9};
    const auto straight = fitTrend(along([](double r) { return 50.0 + 40.0 * r; }, rates));
    const auto logarithmic = fitTrend(along([](double r) { return 120.0 + 20.0 * std::log(r); }, rates));
    const auto saturating = fitTrend(along([](double r) { return 10.0 + 90.0 * r / (r + 0.1); }, rates));
    ASSERT_TRUE(straight && logarithmic && saturating);
    EXPECT_EQ(straight->form, TrendForm::straight);
    EXPECT_EQ(logarithmic->form, TrendForm::logarithmic);
    EXPECT_EQ(saturating->form, TrendForm::saturating);
    EXPECT_TRUE(saturating->by_aicc);
    EXPECT_EQ(saturating->tried.size(), 3U);
    ASSERT_TRUE(saturating->half_x_low && saturating->half_x_high);
    EXPECT_LT(*saturating->half_x_low, 0.1);
    EXPECT_GT(*saturating->half_x_high, 0.1);
}

TEST(Trend, saysWhereTheHalfOfTheRiseIsNotDetermined) {
    const Points points = along([](double r) { return 50.0 + 40.0 * r; }, {0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.9});
    const auto trend = fitTrend(points, TrendForm::saturating);
    ASSERT_TRUE(trend);
    EXPECT_FALSE(trend->half_x_high); // a straight line has none
}

TEST(Trend, takesTheSmallestFormOfFewRuns) {
    const auto trend = fitTrend(Points{{0.1, 70.0, 0.1}, {0.2, 80.0, 0.1}, {0.3, 86.0, 0.1}});
    ASSERT_TRUE(trend);
    EXPECT_EQ(trend->form, TrendForm::straight);
    EXPECT_FALSE(trend->by_aicc);
    EXPECT_EQ(trend->degrees, 1.0);
}

TEST(Trend, hasNoIntervalsThroughTwoRuns) {
    const auto trend = fitTrend(Points{{0.1, 70.0, 0.1}, {0.2, 80.0, 0.1}});
    ASSERT_TRUE(trend);
    EXPECT_NEAR(valueAt(*trend, 0.15), 75.0, 1e-6);
    EXPECT_TRUE(trendBands(*trend, 0.1, 0.2).low.empty());
    const auto at = atLimit(*trend, 78.0);
    ASSERT_TRUE(at);
    EXPECT_NEAR(at->x, 0.18, 1e-6);
    EXPECT_FALSE(at->estimate);
}

TEST(Trend, refusesWithTheReason) {
    const auto what = [](const Points& points) { return fitTrend(points).error().what; };
    EXPECT_THAT(what({}), HasSubstr("no run has both"));
    EXPECT_THAT(what({{0.1, 70.0}}), HasSubstr("one run"));
    EXPECT_THAT(what({{0.1, 70.0}, {0.1, 71.0}}), HasSubstr("same value"));
    EXPECT_THAT(what({{0.6, 100.5, 0.0, true}, {1.2, 100.5, 0.0, true}}), HasSubstr("every run boiled"));
    EXPECT_THAT(what({{0.1, std::nan("")}, {0.2, 80.0}}), HasSubstr("no finite number"));
    const auto zero = fitTrend(Points{{0.0, 70.0}, {0.2, 80.0}, {0.3, 90.0}}, TrendForm::logarithmic);
    EXPECT_THAT(zero.error().what, HasSubstr("above 0"));
}

TEST(Trend, countsABoiledRunAsHotterThanItsBoilingPoint) {
    Points points{{0.1, 80.0, 0.1}, {0.2, 91.0, 0.1}, {0.3, 95.0, 0.1}, {0.4, 100.0, 0.1}};
    const auto without = fitTrend(points, TrendForm::straight);
    points.push_back({.x = 0.8, .y = 100.5, .u = 0.0, .at_least = true});
    const auto with = fitTrend(points, TrendForm::straight);
    points.back().at_least = false;
    const auto as_measured = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(without && with && as_measured);
    EXPECT_NEAR(with->b, without->b, 0.05 * without->b); // the line passes over it: it says little
    EXPECT_LT(as_measured->b, 0.6 * without->b);
    EXPECT_EQ(with->misfits.back(), 0.0);
}

TEST(AtLimit, saysWhenItIsAnExtrapolationOrNowhere) {
    const Points points{{0.1, 80.0, 0.1}, {0.2, 90.5, 0.1}, {0.3, 100.0, 0.1}, {0.4, 110.5, 0.1}};
    const auto trend = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(trend);
    EXPECT_FALSE(atLimit(*trend, 95.0)->outside);
    EXPECT_TRUE(atLimit(*trend, 75.0)->outside);
    const auto never = atLimit(*trend, 20.0);
    ASSERT_FALSE(never);
    EXPECT_EQ(never.error().kind, FaultKind::missing);
    EXPECT_THAT(never.error().what, HasSubstr("above"));
}

TEST(AtLimit, leavesAnEndOpenThatTheRunsDoNotDetermine) {
    const Points points{{0.1, 80.0}, {0.2, 99.0}, {0.3, 84.0}, {0.4, 97.0}};
    const auto trend = fitTrend(points, TrendForm::straight);
    ASSERT_TRUE(trend);
    const auto at = atLimit(*trend, 92.0);
    ASSERT_TRUE(at);
    EXPECT_FALSE(at->low && at->high); // a slope that may be none
    EXPECT_FALSE(at->estimate);
}

TEST(NextRate, givesAReasonWhateverTheRunsAre) {
    const auto next = [](const Points& points, double limit) {
        const auto trend = fitTrend(points);
        const auto at = trend ? atLimit(*trend, limit) : tl::unexpected(trend.error());
        return nextRate(points, trend ? &*trend : nullptr, at ? &*at : nullptr, limit);
    };
    const TrendPoint boiled{.x = 0.6, .y = 100.5, .u = 0.0, .at_least = true};
    EXPECT_FALSE(next({}, 95.0));
    EXPECT_EQ(next({{0.1, 80.0}}, 95.0)->reason, NextReason::one_run_under);
    EXPECT_EQ(next({{0.1, 98.0}}, 95.0)->reason, NextReason::one_run_over);
    EXPECT_EQ(next({boiled}, 95.0)->reason, NextReason::all_boiled);
    EXPECT_DOUBLE_EQ(next({boiled, {1.2, 100.5, 0.0, true}}, 95.0)->rate, 0.3);
    EXPECT_EQ(next({{0.1, 80.0}, boiled}, 95.0)->reason, NextReason::between);
    // A tight trend: the fastest rate that is sure to stay under, near the limit and below it.
    const Points tight{{0.1, 80.0, 0.1}, {0.15, 85.1, 0.1}, {0.2, 89.9, 0.1}, {0.25, 95.0, 0.1}, {0.3, 100.1, 0.1}};
    EXPECT_EQ(next(tight, 97.0)->reason, NextReason::stays_under);
    EXPECT_GT(next(tight, 97.0)->rate, 0.25);
    EXPECT_LT(next(tight, 97.0)->rate, 0.27);
    EXPECT_LE(next(tight, 97.0)->expected->high, 97.01);
    // Far below the limit: one step up, no more.
    EXPECT_EQ(next(tight, 150.0)->reason, NextReason::step_up);
    EXPECT_DOUBLE_EQ(next(tight, 150.0)->rate, 0.45);
    // All above it: below the slowest, but not below half of it.
    EXPECT_EQ(next(tight, 75.0)->reason, NextReason::step_down);
    EXPECT_GE(next(tight, 75.0)->rate, 0.05);
    EXPECT_LE(next(tight, 75.0)->rate, 0.1);
}

} // namespace
} // namespace potwatch::compare
