// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/calibration.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

namespace potwatch::thermocouple {
namespace {

TEST(Correction, isRightAtBothPoints) {
    const auto correction = correctionFrom({.ice_c = 0.8, .boiling_c = 98.9, .pressure_kpa = 101.325});
    ASSERT_TRUE(correction);
    EXPECT_NEAR(correction->at(0.8), 0.0, 1e-12);
    EXPECT_NEAR(correction->at(98.9), 99.974, 0.001); // IAPWS-IF97 at 101.325 kPa
    EXPECT_NEAR(correction->at(49.85), 49.987, 0.001);
}

TEST(Correction, goesByTheAirPressureOfTheDay) {
    // Source of the boiling point: IAPWS R7-97(2012), region 4: 93.486 °C at 80 kPa.
    const auto correction = correctionFrom({.ice_c = 0.0, .boiling_c = 93.486, .pressure_kpa = 80.0});
    ASSERT_TRUE(correction);
    EXPECT_NEAR(correction->scale, 1.0, 1e-5);
}

TEST(Correction, refusesWhatCannotBe) {
    const auto swapped = correctionFrom({.ice_c = 99.0, .boiling_c = 0.5, .pressure_kpa = 101.3});
    ASSERT_FALSE(swapped);
    EXPECT_NE(swapped.error().what.find("melting ice"), std::string::npos);
    EXPECT_FALSE(correctionFrom({.ice_c = 0.0, .boiling_c = 80.0, .pressure_kpa = 101.3}));
    const auto in_bar = correctionFrom({.ice_c = 0.0, .boiling_c = 100.0, .pressure_kpa = 1.013});
    ASSERT_FALSE(in_bar);
    EXPECT_NE(in_bar.error().what.find("1.013 kPa"), std::string::npos);
    EXPECT_FALSE(correctionFrom({.ice_c = std::nan(""), .boiling_c = 100.0, .pressure_kpa = 101.3}));
}

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

} // namespace
} // namespace potwatch::thermocouple
