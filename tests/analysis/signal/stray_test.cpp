// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/smooth_curve.h"
#include "analysis/signal/stray.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace potwatch::signal {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

std::vector<double> evenly(std::size_t count, double step_s, double from_s = 0.0) {
    std::vector<double> time_s(count);
    for (std::size_t i = 0; i < count; ++i) {
        time_s[i] = from_s + step_s * static_cast<double>(i);
    }
    return time_s;
}

TEST(StrayRows, areThoseOfAWrongDigit) {
    std::vector<double> time_s = evenly(2000, 0.5);
    time_s[700] += 1e8;
    time_s[900] -= 3e6;
    const std::vector<Stray> strays = strayRows(time_s);
    ASSERT_THAT(strays, SizeIs(2));
    EXPECT_THAT(strays[0].rows, ElementsAre(700));
    EXPECT_NEAR(strays[0].away_s, 1e8, 1000.0);
    EXPECT_THAT(strays[1].rows, ElementsAre(900));
}

TEST(StrayRows, areFoundHoweverManyThereAre) {
    std::vector<double> time_s = evenly(2000, 0.5);
    for (std::size_t i = 0; i < 10; ++i) {
        time_s[100 + 50 * i] = 1e5 * std::pow(10.0, static_cast<double>(i) / 2.0);
    }
    std::size_t rows = 0;
    for (const Stray& stray : strayRows(time_s)) {
        rows += stray.rows.size();
    }
    EXPECT_EQ(rows, 10U);
}

TEST(StrayRows, areTheSmallerPartWhereTheClockJumpedByYears) {
    std::vector<double> time_s = evenly(2000, 0.5);
    for (std::size_t i = 1400; i < 2000; ++i) {
        time_s[i] += 3.2e7;
    }
    const std::vector<Stray> strays = strayRows(time_s);
    ASSERT_THAT(strays, SizeIs(1));
    EXPECT_THAT(strays[0].rows, SizeIs(600));
    EXPECT_EQ(strays[0].rows.front(), 1400U);
}

TEST(StrayRows, areNotWhatComesAfterAPause) {
    std::vector<double> time_s = evenly(2000, 0.5);
    const std::vector<double> later = evenly(300, 0.5, 4000.0); // the logger was off for three times the run
    time_s.insert(time_s.end(), later.begin(), later.end());
    EXPECT_THAT(strayRows(time_s), IsEmpty());
    EXPECT_THAT(strayRows(evenly(20, 60.0)), IsEmpty());
    EXPECT_THAT(strayRows(std::vector<double>{}), IsEmpty());
    EXPECT_THAT(strayRows(std::vector<double>{0.0, std::numeric_limits<double>::quiet_NaN(), 1.0}), IsEmpty());
}

// One reading beyond a gap costs no more than the readings do: knots and windows follow them, not the span.
TEST(SmoothCurve, hasKnotsByItsReadingsNotByItsSpan) {
    std::vector<double> time_s = evenly(2000, 0.5);
    std::vector<double> value(2000);
    for (std::size_t i = 0; i < value.size(); ++i) {
        value[i] = 20.0 + 60.0 / (1.0 + std::exp(-(time_s[i] - 500.0) / 30.0));
    }
    const SmoothCurve whole = smooth({time_s, value}, {.noise = 0.05});
    time_s.push_back(1e9);
    value.push_back(80.0);
    const SmoothCurve curve = smooth({time_s, value}, {.noise = 0.05});
    EXPECT_LT(curve.time_s.size(), 2 * whole.time_s.size() + 1000);
    EXPECT_EQ(curve.time_s.back(), 1e9);
    for (std::size_t i = 1; i < curve.time_s.size(); ++i) {
        ASSERT_LT(curve.time_s[i - 1], curve.time_s[i]);
    }
    EXPECT_NEAR(hermite(curve.time_s, atKnots(curve, 0.0), levelSlopeAtKnots(curve, 0.0), 500.0), 50.0, 0.1);
}

} // namespace
} // namespace potwatch::signal
