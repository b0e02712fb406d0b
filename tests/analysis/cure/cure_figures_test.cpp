// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/equivalent_time.h"
#include "analysis/cure/gel_time.h"
#include "analysis/cure/second_heating.h"
#include "analysis/forecast/cure_law.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <vector>

namespace potwatch::cure {
namespace {

struct Band {
    std::vector<double> time_s;
    std::vector<double> degree;
    std::vector<double> low;
    std::vector<double> high;
    [[nodiscard]] DegreeBand view() const { return {time_s, degree, low, high}; }
};

// Degree 0 to 0.9 in 900 s, the band 5 % of it to either side.
Band ramp() {
    Band band;
    for (int i = 0; i <= 90; ++i) {
        const double degree = 0.01 * i;
        band.time_s.push_back(10.0 * i);
        band.degree.push_back(degree);
        band.low.push_back(0.95 * degree);
        band.high.push_back(1.05 * degree);
    }
    return band;
}

TEST(GelTime, isWhereTheDegreeAndTheEdgesOfItsBandPass) {
    const auto gel = gelTime(ramp().view(), 0.55);
    ASSERT_TRUE(gel);
    EXPECT_NEAR(gel->time_s.value, 550.0, 1e-9);
    EXPECT_NEAR(gel->time_s.low, 550.0 / 1.05, 1e-9);
    EXPECT_NEAR(gel->time_s.high, 550.0 / 0.95, 1e-9);
    EXPECT_NEAR(gel->time_s.u, 0.5 * (550.0 / 0.95 - 550.0 / 1.05) / 1.959964, 1e-4);
    EXPECT_FALSE(gel->may_not_gel);
}

TEST(GelTime, saysWhereTheBandLeavesItOpen) {
    const auto gel = gelTime(ramp().view(), 0.88);
    ASSERT_TRUE(gel);
    EXPECT_TRUE(gel->may_not_gel);
    EXPECT_DOUBLE_EQ(gel->time_s.high, 900.0);
}

TEST(GelTime, isNotGivenWhereItWasNotSeen) {
    EXPECT_FALSE(gelTime(ramp().view(), 0.95));
    EXPECT_FALSE(gelTime(ramp().view(), 0.0)); // it starts beyond
    EXPECT_FALSE(gelTime({}, 0.5));
}

const Estimate energy = normalEstimate(60.0, 3.0);

TEST(EquivalentTime, isTheTimeItselfAtTheReferenceTemperature) {
    const std::vector<double> time_s{0.0, 100.0, 1000.0};
    const std::vector<double> temperature_c(3, 80.0);
    const Estimate same = equivalentTime({.time_s = time_s, .temperature_c = temperature_c}, 80.0, energy);
    EXPECT_DOUBLE_EQ(same.value, 1000.0);
    EXPECT_NEAR(same.u, 0.0, 1e-9); // the energy does not matter there
    const Estimate colder = equivalentTime({.time_s = time_s, .temperature_c = temperature_c}, 60.0, energy);
    EXPECT_NEAR(colder.value,
                1000.0 * std::exp(-60000.0 / forecast::gas_constant_j_per_mol_k * (1.0 / 353.15 - 1.0 / 333.15)), 1e-6);
}

// Two histories of one equivalent time cure a first-order resin equally far.
TEST(EquivalentTime, curesAsFarAsTheHistoryDid) {
    const forecast::CureLaw law{.a1_per_s = 1e6, .e1_j_per_mol = 60000.0, .n = 1.0};
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    double log_left = 0.0;
    for (int i = 0; i <= 4000; ++i) {
        time_s.push_back(0.5 * i);
        temperature_c.push_back(25.0 + 60.0 * std::exp(-std::pow((time_s.back() - 800.0) / 300.0, 2.0)));
        log_left -= (i == 0 || i == 4000 ? 0.25 : 0.5) *
                    forecast::curingRatePerS(law, {.temperature_c = temperature_c.back(), .degree = 0.0});
    }
    const Estimate found = equivalentTime({.time_s = time_s, .temperature_c = temperature_c}, 50.0, energy);
    const double rate = forecast::curingRatePerS(law, {.temperature_c = 50.0, .degree = 0.0});
    EXPECT_NEAR(found.value * rate / -log_left, 1.0, 1e-5);
}

TEST(EquivalentTime, intervalHoldsTheTruth) {
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    for (int i = 0; i <= 400; ++i) {
        time_s.push_back(5.0 * i);
        temperature_c.push_back(25.0 + 60.0 * std::exp(-std::pow((time_s.back() - 800.0) / 300.0, 2.0)));
    }
    const double truth = equivalentTime({.time_s = time_s, .temperature_c = temperature_c}, 25.0, energy).value;
    const std::vector<double> common_u_k(time_s.size(), 0.5);
    std::mt19937_64 random(3);
    std::normal_distribution<double> normal;
    int held = 0;
    constexpr int repeats = 400;
    for (int repeat = 0; repeat < repeats; ++repeat) {
        const double off_k = 0.5 * normal(random);
        std::vector<double> reading_c = temperature_c;
        for (double& reading : reading_c) {
            reading += off_k;
        }
        const Estimate found = equivalentTime({.time_s = time_s, .temperature_c = reading_c, .common_u_k = common_u_k},
                                              25.0, normalEstimate(60.0 + 3.0 * normal(random), 3.0));
        held += found.low <= truth && truth <= found.high ? 1 : 0;
    }
    EXPECT_GE(held, 0.90 * repeats);
    EXPECT_LE(held, 0.99 * repeats);
}

TEST(SecondHeating, aResidualThatMayBeLargerLowersTheInterval) {
    const Reference reference{.heat_j = 200.0, .u_j = 4.0};
    const Estimate seen = degreeBefore({.value_j = 20.0, .u_j = 2.0}, reference);
    EXPECT_DOUBLE_EQ(seen.value, 0.9);
    const Estimate bound = degreeBefore({.value_j = 20.0, .u_j = 2.0, .high_j = 60.0}, reference);
    EXPECT_DOUBLE_EQ(bound.low, 0.7);
    EXPECT_DOUBLE_EQ(bound.high, seen.high);
}

TEST(SecondHeating, bothHeatingsTogetherAreTheWhole) {
    const Estimate degree = degreeFromBothHeatings({.value_j = 180.0, .u_j = 9.0}, {.value_j = 20.0, .u_j = 2.0}, 0.0);
    EXPECT_DOUBLE_EQ(degree.value, 0.9);
    EXPECT_NEAR(degree.u, std::hypot(180.0 * 2.0, 20.0 * 9.0) / 40000.0, 1e-15);
    const Estimate advanced =
        degreeFromBothHeatings({.value_j = 180.0, .u_j = 9.0}, {.value_j = 20.0, .u_j = 2.0}, 0.2);
    EXPECT_DOUBLE_EQ(advanced.value, 0.92);
    const Estimate bound =
        degreeFromBothHeatings({.value_j = 180.0, .u_j = 0.0}, {.value_j = 20.0, .u_j = 0.0, .high_j = 60.0}, 0.0);
    EXPECT_DOUBLE_EQ(bound.low, 0.75);
}

} // namespace
} // namespace potwatch::cure
