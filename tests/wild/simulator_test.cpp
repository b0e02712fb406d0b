// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/kinds.h"
#include "tests/wild/pot.h"
#include "tests/wild/probe.h"
#include "tests/wild/wild_run.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

// The simulator behind the coverage test, checked by itself: what it says is the truth has to be true.
namespace potwatch::wild {
namespace {

// 300 J/K at 80 °C in a room of 20 °C.
Pot hotWater(double loss_exponent) {
    Pot pot;
    pot.resin_g = 100.0;
    pot.specific_heat_j_per_g_k = 2.5;
    pot.vessel.heat_capacity_j_per_k = 50.0;
    pot.stretches = {{.loss_w_per_k = 0.6, .loss_exponent = loss_exponent}};
    pot.room = {{0.0, 20.0}};
    pot.start_c = 80.0;
    pot.reactions[0] = {.heat_j_per_g = 1.0};
    return pot;
}

TEST(WildPot, coolsByNewtonsLaw) {
    // By hand: 20 + 60 exp(-t UA / C) = 20 + 60 exp(-1000 x 0.6 / 300) = 28.1201 °C.
    const std::vector<Moment> history = simulate(hotWater(0.0), 1000.0, 1.0);
    EXPECT_NEAR(history.back().pot_c, 20.0 + 60.0 * std::exp(-2.0), 1e-4);
}

TEST(WildPot, coolsByAPowerOfTheDifference) {
    // By hand: d' = -k d (d / 20)^x has d = d0 (1 + x k t (d0 / 20)^x)^(-1/x), with k = 0.6 / 300 per second.
    const double x = 0.25;
    const std::vector<Moment> history = simulate(hotWater(x), 1000.0, 1.0);
    const double expected_k = 60.0 * std::pow(1.0 + x * 0.002 * 1000.0 * std::pow(3.0, x), -1.0 / x);
    EXPECT_NEAR(history.back().pot_c, 20.0 + expected_k, 1e-4);
}

// Source: first order, A = 1e10 1/s, E = 100 kJ/mol, adiabatic rise 200 K from 373.15 K, by quadrature: 407.9029 K
// after 600 s and 459.0539 K after 660 s; ends at 573.15 K.
TEST(WildPot, runsAwayAdiabaticallyAsByQuadrature) {
    Pot pot;
    pot.resin_g = 100.0;
    pot.specific_heat_j_per_g_k = 2.0;
    pot.stretches = {{}};
    pot.room = {{0.0, 100.0}};
    pot.start_c = 100.0;
    pot.reactions[0] = {.heat_j_per_g = 400.0,
                        .k1_per_s = 1e10 * std::exp(-100000.0 / (8.314462618 * 320.0)),
                        .e1_j_per_mol = 100000.0,
                        .n = 1.0};
    const std::vector<Moment> history = simulate(pot, 800.0, 1.0);
    EXPECT_NEAR(history[600].pot_c + 273.15, 407.9029, 0.001);
    EXPECT_NEAR(history[660].pot_c + 273.15, 459.0539, 0.02); // rises by 5 K/s there, and steps begin 1e-6 s late
    EXPECT_NEAR(history.back().pot_c + 273.15, 573.15, 0.001);
}

TEST(WildPot, boilsAwayWhatItsHeaterBrings) {
    // By hand: 50 W at rest against 2257 J/g (2501 - 2.44 x 100) carry away 50 / 2257 = 0.02215 g/s, 0.22 K above
    // boiling.
    Pot pot = hotWater(0.0);
    pot.stretches = {{.power_w = 50.0}};
    pot.start_c = 100.0;
    pot.boiling_c = 100.0;
    pot.boil_g_per_s_k = 0.1;
    pot.water_g = 90.0;
    const std::vector<Moment> history = simulate(pot, 600.0, 1.0);
    EXPECT_NEAR((history[600].evaporated_g - history[500].evaporated_g) / 100.0, 50.0 / 2257.0, 2e-5);
    EXPECT_NEAR(history.back().pot_c, 100.0 + 0.2215, 0.002);
}

// Source: J/g at 80, 100 and 120 °C, IAPWS-IF97; kPa at 20, 60 and 90 °C, the same.
TEST(WildWater, keepsToTheSteamTable) {
    EXPECT_NEAR(latentHeat(80.0), 2308.07, 0.003 * 2308.07);
    EXPECT_NEAR(latentHeat(100.0), 2256.47, 0.003 * 2256.47);
    EXPECT_NEAR(latentHeat(120.0), 2202.15, 0.003 * 2202.15);
    EXPECT_NEAR(waterPressure(20.0), 2.33921, 0.03 * 2.33921);
    EXPECT_NEAR(waterPressure(60.0), 19.9458, 0.03 * 19.9458);
    EXPECT_NEAR(waterPressure(90.0), 70.1824, 0.03 * 70.1824);
}

TEST(WildProbe, lagsBehindARampByItsTimeConstants) {
    // By hand: behind a ramp of 0.1 K/s a probe of first order is 0.1 x lag late in the end, two in a row the sum.
    std::vector<Moment> ramp;
    for (int i = 0; i <= 400; ++i) {
        ramp.push_back({.time_s = 0.5 * i, .pot_c = 20.0 + 0.05 * i, .wall_c = 20.0 + 0.05 * i});
    }
    Random random(1);
    const Probe probe{.lag_s = 6.0, .second_lag_s = 4.0, .noise_k = 0.0, .step_k = 0.0, .interval_s = 1.0};
    EXPECT_NEAR(read(ramp, 190.0, probe, random).back().pot_c, 20.0 + 19.0 - 1.0, 1e-6);
}

class WildKind : public testing::TestWithParam<std::string> {};

TEST_P(WildKind, losesNoEnergy) {
    const Drawn bench = drawn(GetParam(), 5, 1);
    double through_j = 0.0;
    double worst_j = 0.0;
    for (const Moment& now : bench.history) {
        const double kept_j = now.stored_j + now.lost_j + now.carried_j;
        through_j = std::max(through_j, now.released_j + std::abs(now.brought_j) + std::abs(now.lost_j));
        worst_j = std::max(worst_j, std::abs(kept_j - now.released_j - now.brought_j));
    }
    EXPECT_LT(worst_j, 1e-4 * through_j);
    EXPECT_GT(bench.history.back().released_j, 100.0);
}

TEST_P(WildKind, isTheSameForTheSameSeedAndAnotherForAnother) {
    const WildRun run = wildRun(GetParam(), 5, 1);
    const WildRun again = wildRun(GetParam(), 5, 1);
    const WildRun other = wildRun(GetParam(), 6, 1);
    EXPECT_EQ(csvOf(run), csvOf(again));
    EXPECT_EQ(run.batch, again.batch);
    EXPECT_EQ(jsonOf(run), jsonOf(again));
    EXPECT_NE(csvOf(run), csvOf(other));
    EXPECT_GT(run.readings.size(), 30U);
    EXPECT_GT(run.truth.degree_of_cure_final, 0.1);
}

std::string wordOf(const testing::TestParamInfo<std::string>& info) {
    std::string word = info.param;
    std::replace(word.begin(), word.end(), '-', '_');
    return word;
}

INSTANTIATE_TEST_SUITE_P(Kinds, WildKind, testing::ValuesIn(kindNames()), wordOf);

} // namespace
} // namespace potwatch::wild
