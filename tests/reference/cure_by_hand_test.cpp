// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/degree.h"
#include "analysis/cure/equivalent_time.h"
#include "analysis/cure/gel_time.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace potwatch::cure {
namespace {

// By hand: 0.2 + 14400 / 24000 = 0.8; after a second heating that released 3600 J, 1 - 3600 / 24000 = 0.85.
TEST(DegreeByHand, isTheShareOfTheWholeHeat) {
    EXPECT_NEAR(degreeOf({.value_j = 14400.0}, {.heat_j = 24000.0, .start_degree = 0.2}).value, 0.8, 1e-12);
    EXPECT_NEAR(degreeBeforeSecondHeating({.value_j = 3600.0}, {.heat_j = 24000.0}).value, 0.85, 1e-12);
}

// By hand: with u of 480 J of 14400 (3.33 %) and of 720 J of 24000 as a rectangular distribution's standard uncertainty
// (3 %), the quotient 0.6 has sqrt(3.33^2 + 3^2) % = 4.485 %: 0.0269. Source: JCGM 100:2008, 5.1.6.
TEST(DegreeByHand, addsRelativeUncertaintiesInSquares) {
    const Estimate degree = degreeOf({.value_j = 14400.0, .u_j = 480.0}, {.heat_j = 24000.0, .u_j = 720.0});
    EXPECT_NEAR(degree.value, 0.6, 1e-12);
    EXPECT_NEAR(degree.u, 0.6 * 0.04485, 1e-4);
}

// Source: Flory-Stockmayer for phenol (f = 3) and formaldehyde (f = 2) at F/P 1.5, where the groups balance (r = 1,
// rho = 1): 1 / sqrt(r (1 + rho (f - 2))) = 1 / sqrt(2) = 0.7071. By hand: a degree that rises by 0.001 a second passes
// it at 707.1 s, a band of 5 % either way at 673.4 and 744.3 s.
TEST(GelByHand, isPassedWhereFloryAndStockmayerPutIt) {
    std::vector<double> time_s;
    std::vector<double> degree;
    std::vector<double> low;
    std::vector<double> high;
    for (int i = 0; i <= 100; ++i) {
        time_s.push_back(10.0 * i);
        degree.push_back(0.01 * i);
        low.push_back(0.0095 * i);
        high.push_back(0.0105 * i);
    }
    const auto gel = gelTime({time_s, degree, low, high}, 0.7071);
    ASSERT_TRUE(gel);
    EXPECT_NEAR(gel->time_s.value, 707.1, 0.05);
    EXPECT_NEAR(gel->time_s.low, 673.4, 0.1);
    EXPECT_NEAR(gel->time_s.high, 744.3, 0.1);
    EXPECT_FALSE(gel->may_not_gel);
}

// By hand: E = 60 kJ/mol, R = 8.314463 J/(mol K): k(80 °C) / k(60 °C) = exp(60000 / 8.314463 x (1 / 333.15 - 1 /
// 353.15)) = exp(7216.34 x 1.69992e-4) = exp(1.22672) = 3.4100. So 10 min at 80 °C are 34.10 min at 60 °C, and with 20
// min at 60 °C before them 54.10 min; at 80 °C they are 10 + 20 / 3.41 = 15.865 min.
TEST(EquivalentTimeByHand, countsByArrhenius) {
    const Estimate energy{.value = 60.0, .low = 60.0, .high = 60.0};
    const std::vector<double> time_s{0.0, 1200.0, 1200.001, 1800.001};
    const std::vector<double> temperature_c{60.0, 60.0, 80.0, 80.0};
    const ThermalHistory both{.time_s = time_s, .temperature_c = temperature_c};
    EXPECT_NEAR(equivalentTime(both, 60.0, energy).value / 60.0, 54.10, 0.005);
    EXPECT_NEAR(equivalentTime(both, 80.0, energy).value / 60.0, 15.865, 0.002);
}

} // namespace
} // namespace potwatch::cure
