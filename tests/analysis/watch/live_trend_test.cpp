// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/live_trend.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <random>

namespace potwatch::watch {
namespace {

constexpr double s_per_min = 60.0;

// Readings of a course with noise, rounded to a step.
struct Readings {
    std::function<double(double)> course;
    double noise = 0.15;
    double step = 0.25;
    std::mt19937_64 random{7};

    double at(double time_s) {
        const double value = course(time_s) + noise * std::normal_distribution<double>()(random);
        return step > 0.0 ? step * std::round(value / step) : value;
    }
};

TEST(LiveTrend, findsRateAndLevelOfASteadyRise) {
    Readings readings{.course = [](double t) { return 30.0 + 3.0 * t / s_per_min; }};
    LiveTrend trend;
    double worst_rate = 0.0;
    double rate_off = 0.0; // sum
    int looked = 0;
    double worst_level = 0.0;
    for (double t = 0.0; t < 600.0; t += 0.5) {
        trend.add(t, readings.at(t));
        if (t > 120.0) {
            const double off = std::abs(trend.trend()->slope_per_s * s_per_min - 3.0);
            worst_rate = std::max(worst_rate, off);
            rate_off += off;
            ++looked;
            worst_level =
                std::max(worst_level, std::abs(trend.trend()->value - readings.course(trend.trend()->time_s)));
        }
    }
    EXPECT_LT(worst_rate, 2.0);
    EXPECT_LT(rate_off / looked, 0.3) << "the rate that is shown hardly flickers";
    EXPECT_LT(worst_level, 0.3);
}

TEST(LiveTrend, isNotFooledByAPotThatRestedOnOneStep) {
    // Nothing is seen of the noise before the first reading on the next step, which then must not look like a rise.
    LiveTrend trend;
    for (double t = 0.0; t <= 14.0; t += 1.0) {
        trend.add(t, t < 13.0 ? 22.0 : 22.5);
        if (trend.trend()) {
            EXPECT_LT(trend.trend()->slope_per_s, 3.0 * trend.trend()->slope_doubt_per_s + 1e-9) << t;
        }
    }
}

TEST(LiveTrend, readsNotTooSteepARateWhereItStopsGrowing) {
    // The steepest place of a slow exotherm, as of the truth run s02: a long parabola overshoots there by an eighth.
    constexpr double steepest_s = 400.0;
    constexpr double width_s = 60.0;
    const auto rate = [](double t) { return 16.0 / s_per_min / std::pow(std::cosh((t - steepest_s) / width_s), 2.0); };
    double highest = 0.0; // that is sure
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        Readings readings{.course = [](double t) { return 50.0 + 16.0 * std::tanh((t - steepest_s) / width_s); },
                          .random = std::mt19937_64(seed)};
        LiveTrend trend;
        for (double t = 0.0; t < steepest_s + 40.0; t += 0.5) {
            trend.add(t, readings.at(t));
            if (t > steepest_s - 40.0) {
                const double sure = trend.trend()->slope_per_s - 3.0 * trend.trend()->slope_doubt_per_s;
                highest = std::max(highest, sure / rate(t));
            }
        }
    }
    EXPECT_LT(highest, 1.12);
}

TEST(LiveTrend, statesItsUncertaintyHonestlyAtRest) {
    int outside = 0;
    int looked = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        Readings readings{
            .course = [](double) { return 50.1; }, .noise = 0.2, .step = 0.0, .random = std::mt19937_64(seed)};
        LiveTrend trend;
        for (double t = 0.0; t <= 200.0; t += 0.5) {
            trend.add(t, readings.at(t));
        }
        outside += std::abs(trend.trend()->slope_per_s) > 1.96 * trend.trend()->slope_u_per_s ? 1 : 0;
        ++looked;
    }
    // 95 % of 200; the choice of the look costs a little.
    EXPECT_LT(outside, 30) << "of " << looked;
}

TEST(LiveTrend, followsATakeOffWithinSeconds) {
    // The rate doubles every 14 s, from 10 to 80 K/min.
    constexpr double e_fold_s = 20.0;
    const auto rate = [](double t) { return 10.0 / s_per_min * std::exp((t - 200.0) / e_fold_s); };
    Readings readings{.course = [&](double t) { return 40.0 + e_fold_s * rate(t); }};
    LiveTrend trend;
    double latest_s = 0.0; // how long ago the true rate was what the trend says
    for (double t = 0.0; t < 240.0; t += 0.5) {
        trend.add(t, readings.at(t));
        if (t > 200.0) {
            latest_s = std::max(latest_s, e_fold_s * std::log(rate(t) / trend.trend()->slope_per_s));
        }
    }
    EXPECT_LT(latest_s, 8.0);
}

TEST(LiveTrend, leavesOutSingleReadingsFarOff) {
    Readings readings{.course = [](double) { return 25.0; }};
    LiveTrend trend;
    for (int i = 0; i < 1200; ++i) {
        const double t = 0.5 * i;
        trend.add(t, i > 100 && i % 37 == 0 ? 250.0 : readings.at(t));
        if (trend.trend()) {
            EXPECT_NEAR(trend.trend()->value, 25.0, 0.5) << t;
        }
    }
}

TEST(LiveTrend, beginsAnewAfterAStepAndAfterAGap) {
    Readings readings{.course = [](double t) { return t < 100.0 ? 22.0 : 60.0; }};
    LiveTrend trend;
    for (double t = 0.0; t < 103.0; t += 0.5) {
        trend.add(t, readings.at(t));
    }
    EXPECT_FALSE(trend.trend()) << "three seconds after the step there is no trend yet";
    for (double t = 103.0; t < 120.0; t += 0.5) {
        trend.add(t, readings.at(t));
    }
    EXPECT_NEAR(trend.trend()->value, 60.0, 0.5);
    trend.add(400.0, 30.0);
    EXPECT_FALSE(trend.trend());
}

TEST(LiveTrend, worksForReadingsHalfAMinuteApart) {
    LiveTrend trend;
    for (double t = 0.0; t <= 900.0; t += 27.0) {
        trend.add(t, 25.0 + 1.2 * t / s_per_min);
    }
    EXPECT_NEAR(trend.trend()->slope_per_s * s_per_min, 1.2, 0.05);
    EXPECT_DOUBLE_EQ(*trend.intervalS(), 27.0);
}

TEST(LiveTrend, costsTheSameForFastReadings) {
    // A hundred readings a second: the quarter-second averages decide.
    Readings readings{.course = [](double t) { return 30.0 + 6.0 * t / s_per_min; }, .noise = 0.5, .step = 0.0};
    LiveTrend trend;
    int fits = 0;
    for (int i = 0; i < 6000; ++i) {
        fits += trend.add(0.01 * i, readings.at(0.01 * i)) ? 1 : 0;
    }
    EXPECT_LE(fits, 4 * 60);
    EXPECT_NEAR(trend.trend()->slope_per_s * s_per_min, 6.0, 1.0);
}

} // namespace
} // namespace potwatch::watch
