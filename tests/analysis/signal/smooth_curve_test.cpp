// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/smooth_curve.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace potwatch::signal {
namespace {

using signal_tests::addNoise;
using signal_tests::evenTrace;
using signal_tests::unevenTrace;

double bell(double t) {
    return 20.0 + 60.0 * std::exp(-0.5 * (t - 300.0) * (t - 300.0) / (30.0 * 30.0));
}

double worst(const SmoothCurve& curve, const std::vector<double>& values, double (*truth)(double)) {
    double away = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        away = std::max(away, std::abs(values[i] - truth(curve.time_s[i])));
    }
    return away;
}

TEST(SmoothCurve, keepsAPeakAndQuietsTheNoise) {
    auto trace = evenTrace(1601, 0.5, bell);
    addNoise(trace, 0.15);
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.15});
    const auto level = atKnots(curve, 0.0);
    EXPECT_LT(worst(curve, level, bell), 0.2); // a single reading is off by 0.5
    EXPECT_NEAR(*std::max_element(level.begin(), level.end()), 80.0, 0.15);
}

TEST(SmoothCurve, widensWhereNothingHappens) {
    auto trace = evenTrace(1601, 0.5, bell);
    addNoise(trace, 0.15);
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.15});
    EXPECT_GT(linear(curve.time_s, curve.half_width_s, 650.0), 2.0 * linear(curve.time_s, curve.half_width_s, 300.0));
}

TEST(SmoothCurve, undoesTheLagOfAProbe) {
    // A ramp read through a lag of 5 s trails it by 5 s times the slope.
    const auto trace = evenTrace(801, 0.5, [](double t) { return 20.0 + 0.3 * t - 1.5; });
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .lag_s = 5.0, .noise = 0.01});
    EXPECT_NEAR(hermite(curve.time_s, atKnots(curve, 5.0), levelSlopeAtKnots(curve, 5.0), 200.0), 80.0, 1e-6);
}

// The bell with nothing read from 320 to 620 s.
signal_tests::Trace interrupted() {
    signal_tests::Trace trace = evenTrace(1601, 0.5, bell);
    addNoise(trace, 0.15);
    for (std::size_t i = 0; i < trace.time_s.size(); ++i) {
        if (trace.time_s[i] > 320.0 && trace.time_s[i] < 620.0) {
            trace.value[i] = std::numeric_limits<double>::quiet_NaN();
        }
    }
    return trace;
}

TEST(SmoothCurve, crossesAGapWithoutARiseThatNothingShows) {
    const auto trace = interrupted();
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.15});
    const auto level = atKnots(curve, 0.0);
    const auto slope = levelSlopeAtKnots(curve, 0.0);
    double last = hermite(curve.time_s, level, slope, 325.0);
    for (double t = 325.0; t <= 615.0; t += 1.0) {
        const double now = hermite(curve.time_s, level, slope, t);
        EXPECT_LE(now, last + 1e-6) << t;
        EXPECT_GE(now, 19.5) << t;
        last = now;
    }
}

TEST(SmoothCurve, isLessSureWithinAGap) {
    const auto trace = interrupted();
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.15});
    const auto u = uncertaintyAtKnots(curve, 0.0, 0.15);
    EXPECT_GT(linear(curve.time_s, u, 400.0), 2.0 * linear(curve.time_s, u, 300.0));
}

TEST(SmoothCurve, hasTheRateOfItsTrace) {
    auto trace = evenTrace(1601, 0.5, bell);
    addNoise(trace, 0.1);
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::rate, .noise = 0.1});
    const double steepest = 60.0 / 30.0 * std::exp(-0.5);
    EXPECT_NEAR(linear(curve.time_s, atKnots(curve, 0.0), 270.0), steepest, 0.03 * steepest);
}

TEST(SmoothCurve, passesOverGapsOnUnevenTimes) {
    auto trace = unevenTrace(1601, 0.5, bell);
    for (std::size_t i = 900; i < 940; ++i) {
        trace.value[i] = std::numeric_limits<double>::quiet_NaN();
    }
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.01});
    const auto level = atKnots(curve, 0.0);
    EXPECT_TRUE(std::all_of(level.begin(), level.end(), [](double v) { return std::isfinite(v); }));
    EXPECT_LT(worst(curve, level, bell), 0.3);
}

TEST(SmoothCurve, standsStillOnATraceAtRest) {
    const auto trace = evenTrace(400, 1.0, [](double) { return 22.0; });
    const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::rate});
    for (const double rate : atKnots(curve, 4.0)) {
        EXPECT_NEAR(rate, 0.0, 1e-9);
    }
}

TEST(SmoothCurve, statedUncertaintyCoversTheError) {
    int inside = 0;
    int all = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        auto trace = evenTrace(1201, 0.5, bell);
        addNoise(trace, 0.15, seed);
        const SmoothCurve curve = smooth(trace.view(), {.aim = Aim::level, .noise = 0.15});
        const auto level = atKnots(curve, 0.0);
        const auto u = uncertaintyAtKnots(curve, 0.0, 0.15);
        const double at = hermite(curve.time_s, level, levelSlopeAtKnots(curve, 0.0), 300.0);
        inside += std::abs(at - 80.0) < 1.96 * linear(curve.time_s, u, 300.0) ? 1 : 0;
        ++all;
    }
    EXPECT_GE(inside, 36) << "of " << all;
}

TEST(Hermite, isExactForACubicAndGoesOnStraight) {
    const std::vector<double> t{0.0, 2.0, 5.0};
    const auto cubic = [](double x) { return x * x * x - x; };
    const auto slope = [](double x) { return 3.0 * x * x - 1.0; };
    const std::vector<double> v{cubic(0.0), cubic(2.0), cubic(5.0)};
    const std::vector<double> s{slope(0.0), slope(2.0), slope(5.0)};
    EXPECT_NEAR(hermite(t, v, s, 3.3), cubic(3.3), 1e-12);
    EXPECT_NEAR(hermite(t, v, s, 6.0), cubic(5.0) + slope(5.0), 1e-12);
}

} // namespace
} // namespace potwatch::signal
