// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/plunge.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <span>
#include <vector>

namespace potwatch::thermocouple {
namespace {

// A probe of that lag, carried through the air for a second after 5 s and then plunged from 1 into 90 °C.
struct Plunge {
    std::vector<double> time_s;
    std::vector<double> value;
    [[nodiscard]] TraceView view() const { return {.time_s = time_s, .value = value}; }
};

Plunge plunge(double lag_s, double end_s, double noise, std::uint64_t seed = 5) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    Plunge plunge;
    for (double t = 0.0; t <= end_s; t += 0.25) {
        const double true_c = t < 6.0 ? 1.0 : 90.0 - 89.0 * std::exp(-(t - 6.0) / lag_s);
        plunge.time_s.push_back(t);
        plunge.value.push_back(true_c + noise * normal(random));
    }
    return plunge;
}

TEST(PlungeLag, isThatOfTheProbe) {
    for (const double lag_s : {1.0, 4.0, 15.0}) {
        const Plunge exact = plunge(lag_s, 6.0 + 8.0 * lag_s, 0.0);
        const auto lag = lagFromPlunge(exact.view());
        ASSERT_TRUE(lag) << lag_s;
        EXPECT_NEAR(lag->lag_s, lag_s, 1e-3 * lag_s);
        EXPECT_GE(lag->from_s, 6.0);
    }
}

TEST(PlungeLag, statesItsUncertaintyHonestly) {
    constexpr int repeats = 400;
    int inside = 0;
    double u_s = 0.0;
    for (std::uint64_t seed = 1; seed <= repeats; ++seed) {
        const Plunge noisy = plunge(4.0, 40.0, 0.3, seed);
        const auto lag = lagFromPlunge(noisy.view());
        ASSERT_TRUE(lag);
        inside += std::abs(lag->lag_s - 4.0) < 1.96 * lag->u_s ? 1 : 0;
        u_s = std::max(u_s, lag->u_s);
    }
    EXPECT_GT(inside, 0.9 * repeats);
    EXPECT_LT(inside, 0.99 * repeats);
    EXPECT_LT(u_s, 0.1);
}

TEST(PlungeLag, refusesAPlungeThatSaysNothing) {
    const Plunge unsettled = plunge(15.0, 40.0, 0.0);
    const auto early = lagFromPlunge(unsettled.view());
    ASSERT_FALSE(early);
    EXPECT_NE(early.error().what.find("settled"), std::string::npos);
    const Plunge none = plunge(4.0, 5.5, 0.1);
    const auto still = lagFromPlunge(none.view());
    ASSERT_FALSE(still);
    EXPECT_EQ(still.error().kind, FaultKind::range);
    EXPECT_FALSE(lagFromPlunge({}));
}

// A recording: at rest in hot water that cools, then in ice water for a minute, then out into the air again.
Plunge recording(double lag_s, double noise, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    Plunge record;
    double probe_c = 80.0;
    constexpr double step_s = 0.05;
    for (int i = 0; i <= 6000; ++i) {
        const double t = i * step_s;
        const double bath_c = t < 60.0 ? 80.0 - 0.01 * t : t < 150.0 ? 0.2 : 22.0;
        probe_c += (bath_c - probe_c) * (1.0 - std::exp(-step_s / lag_s));
        if (i % 10 == 0) {
            record.time_s.push_back(t);
            record.value.push_back(probe_c + noise * normal(random));
        }
    }
    return record;
}

TEST(PlungeLag, isFoundInAWholeRecording) {
    for (const double lag_s : {2.0, 4.0, 12.0}) {
        const Plunge record = recording(lag_s, 0.05, 3);
        const auto lag = lagFromRecording(record.view());
        ASSERT_TRUE(lag) << lag_s << ": " << describe(lag.error());
        EXPECT_NEAR(lag->lag_s, lag_s, 0.02 * lag_s);
        EXPECT_GE(lag->u_s, 0.1 * lag->lag_s); // for resin
        EXPECT_LT(lag->u_s, 0.12 * lag_s);
        EXPECT_NEAR(lag->from_s, 60.0 + 0.25 * lag_s, 1.0);
    }
}

TEST(PlungeLag, passesOverWhatIsMissing) {
    Plunge record = recording(4.0, 0.05, 4);
    for (std::size_t i = 5; i < record.value.size(); i += 7) {
        record.value[i] = std::nan("");
    }
    const auto lag = lagFromRecording(record.view());
    ASSERT_TRUE(lag);
    EXPECT_NEAR(lag->lag_s, 4.0, 0.1);
    EXPECT_FALSE(lagFromRecording({}));
}

TEST(PlungeLag, refusesARecordingWithoutAPlunge) {
    const Plunge record = recording(4.0, 0.05, 5);
    const TraceView rest{.time_s = std::span(record.time_s).first(100), .value = std::span(record.value).first(100)};
    const auto lag = lagFromRecording(rest);
    ASSERT_FALSE(lag);
    EXPECT_EQ(lag.error().kind, FaultKind::range);
}

} // namespace
} // namespace potwatch::thermocouple
