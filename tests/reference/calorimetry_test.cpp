// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/isoperibol.h"
#include "analysis/heat/loss_fit.h"
#include "tests/reference/table.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::heat {
namespace {

// Source: constructed outside the project (exact solution of a reaction of 2.5 K in a calorimeter with k = 0.0020
// 1/min); the figures of both rules were computed there from the same table. Tolerances: 2e-6 K on the arithmetic, of
// which the table's rounding is a part; 1e-3 K on the true rise.
TEST(Calorimetry, correctsAJacketedRunByBothRules) {
    const reference::Table table("isoperibol-synthetic.csv");
    std::vector<double> time_s = table.numbers("t_min");
    for (double& time : time_s) {
        time *= 60.0;
    }
    const std::vector<double> temperature_c = table.numbers("T_degC");
    const auto rise =
        calorimetricRise({time_s, temperature_c}, {.from_s = -300.0, .start_s = 0.0, .end_s = 600.0, .to_s = 1200.0});
    ASSERT_TRUE(rise) << describe(rise.error());
    EXPECT_NEAR(rise->raw_k, 2.523493, 2e-6);
    EXPECT_NEAR(rise->fore_drift_k_per_s * 60.0, 0.00696511, 1e-7);
    EXPECT_NEAR(rise->after_drift_k_per_s * 60.0, 0.00186638, 1e-7);
    EXPECT_NEAR(rise->fore_mean_c, 22.017440, 2e-6);
    EXPECT_NEAR(rise->after_mean_c, 24.567706, 2e-6);
    EXPECT_NEAR(rise->exchange_per_s * 60.0, 0.00199929, 2e-8);
    EXPECT_NEAR(rise->regnault_pfaundler_k, 2.499946, 2e-6);
    EXPECT_NEAR(rise->dickinson_s / 60.0, 0.833501, 5e-4); // there from the exact curve, here between rows
    EXPECT_NEAR(rise->dickinson_k, 2.500580, 2e-6);
    EXPECT_NEAR(rise->equal_area_s / 60.0, 0.957670, 1e-3);
    EXPECT_NEAR(rise->regnault_pfaundler_k, 2.5, 1e-3);
    EXPECT_NEAR(rise->dickinson_k, 2.5, 1e-3);
}

// Source: exact solution of Newton's law, tau = 900 s, surroundings 22 °C, start 95 °C; checked at two times.
TEST(Calorimetry, findsTheTimeConstantOfPureCooling) {
    const reference::Table table("newton-cooling.csv");
    const std::vector<double> time_s = table.numbers("t_s");
    const std::vector<double> temperature_c = table.numbers("T_degC");
    EXPECT_NEAR(temperature_c.at(15), 48.855199, 1e-6);
    EXPECT_NEAR(temperature_c.at(30), 31.879476, 1e-6);
    constexpr double capacity_j_per_k = 180.0;
    PotCourse course{.time_s = time_s, .temperature_c = temperature_c};
    for (const double temperature : temperature_c) {
        course.slope_k_per_s.push_back(-(temperature - 22.0) / 900.0);
    }
    course.surroundings_c.assign(time_s.size(), 22.0);
    course.surroundings_slope_k_per_s.assign(time_s.size(), 0.0);
    course.heater_j.assign(time_s.size(), 0.0);
    course.evaporated_share.assign(time_s.size(), 0.0);
    const auto fit = fitLoss({time_s, temperature_c}, 0.0, {.heat_capacity_j_per_k = capacity_j_per_k}, course,
                             {.from_s = 0.0, .to_s = time_s.back(), .residual_cure = false, .noise_k = 1e-3});
    ASSERT_TRUE(fit);
    EXPECT_NEAR(capacity_j_per_k / fit->loss.coefficient_w_per_k, 900.0, 0.9);
    EXPECT_NEAR(fit->loss.exponent, 0.0, 1e-3);
}

} // namespace
} // namespace potwatch::heat
