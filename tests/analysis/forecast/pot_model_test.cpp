// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "tests/law/pots.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::forecast {
namespace {

using testing::HasSubstr;

PotState stateAt(const PotModel& model, double time_s) {
    const std::vector<double> times_s{time_s};
    const auto states = simulatePot(model, times_s);
    EXPECT_TRUE(states) << describe(states.error());
    return states ? states->front() : PotState{};
}

PotModel hotWater() {
    PotModel model;
    model.resin_g = 100.0;
    model.specific_heat_j_per_g_k = 4.0;
    model.vessel_j_per_k = 20.0;
    model.loss_coefficient_w_per_k = 0.7;
    model.surroundings_c = 20.0;
    model.start_c = 90.0;
    return model;
}

TEST(PotModel, coolsExponentiallyWithoutAReaction) {
    EXPECT_NEAR(stateAt(hotWater(), 600.0).temperature_c, 20.0 + 70.0 * std::exp(-600.0 * 0.7 / 420.0), 1e-6);
}

TEST(PotModel, losesFasterWhenHotWithAConvectiveExponent) {
    PotModel model = hotWater();
    model.loss_exponent = 0.25;
    // dT/dt = -(UA/C) dT (dT/20)^x: solved in closed form by dT^-x.
    const double rate_per_s = 0.7 / 420.0 * std::pow(20.0, -0.25);
    const double left_k = std::pow(std::pow(70.0, -0.25) + 0.25 * rate_per_s * 600.0, -4.0);
    EXPECT_NEAR(stateAt(model, 600.0).temperature_c, 20.0 + left_k, 1e-5);
}

TEST(PotModel, warmsToWhereTheHeaterMeetsTheLoss) {
    PotModel model = hotWater();
    model.heater_w = 21.0;
    EXPECT_NEAR(stateAt(model, 20000.0).temperature_c, 50.0, 1e-6);
}

TEST(PotModel, mixesADoseGivenAtOnce) {
    PotModel model = hotWater();
    model.loss_coefficient_w_per_k = 0.0;
    model.dose_specific_heat_j_per_g_k = 3.0;
    model.dose_c = 20.0;
    model.doses = {{.start_s = 10.0, .over_s = 0.0, .amount_g = 28.0}};
    EXPECT_NEAR(stateAt(model, 9.9).temperature_c, 90.0, 1e-9);
    EXPECT_NEAR(stateAt(model, 10.1).temperature_c, (420.0 * 90.0 + 84.0 * 20.0) / 504.0, 1e-9);
    EXPECT_EQ(stateAt(model, 10.1).dosed_g, 28.0);
}

TEST(PotModel, dosesEvenlyBetweenStartAndEnd) {
    PotModel model = hotWater();
    model.doses = {{.start_s = 100.0, .over_s = 200.0, .amount_g = 4.0},
                   {.start_s = 200.0, .over_s = 200.0, .amount_g = 2.0}};
    EXPECT_NEAR(stateAt(model, 100.0).dosed_g, 0.0, 1e-12);
    EXPECT_NEAR(stateAt(model, 250.0).dosed_g, 3.5, 1e-12);
    EXPECT_NEAR(stateAt(model, 1000.0).dosed_g, 6.0, 1e-12);
}

TEST(PotModel, curesNotBeforeTheCatalystComes) {
    const PotModel model = law::dosedPot(false);
    EXPECT_EQ(stateAt(model, 60.0).degree, 0.0);
    EXPECT_GT(stateAt(model, 120.0).degree, 0.0);
}

TEST(PotModel, boilsOffNoMoreWaterThanItHas) {
    PotModel model = hotWater();
    model.start_c = 99.0;
    model.heater_w = 500.0;
    model.boiling_c = 100.0;
    model.boil_g_per_s_k = 0.05;
    model.water_g = 10.0;
    EXPECT_NEAR(stateAt(model, 30.0).temperature_c, 104.0, 2.0);
    EXPECT_NEAR(stateAt(model, 600.0).evaporated_g, 10.0, 1e-6);
    EXPECT_GT(stateAt(model, 600.0).temperature_c, 150.0);
}

TEST(PotModel, answersInTheOrderOfTheTimes) {
    const std::vector<double> times_s{0.0, 0.0, 60.0, 60.0, 61.0, 5000.0};
    const auto states = simulatePot(law::dosedPot(false), times_s);
    ASSERT_TRUE(states);
    ASSERT_EQ(states->size(), 6U);
    EXPECT_EQ(states->front().temperature_c, 24.0);
    EXPECT_EQ((*states)[2], (*states)[3]);
    EXPECT_TRUE(simulatePot(law::dosedPot(false), {})->empty());
}

TEST(PotModel, refusesWhatCannotBe) {
    const std::vector<double> soon{1.0};
    PotModel empty;
    EXPECT_THAT(simulatePot(empty, soon).error().what, HasSubstr("heat capacity"));
    PotModel negative = hotWater();
    negative.resin_g = -1.0;
    EXPECT_EQ(simulatePot(negative, soon).error().kind, FaultKind::range);
    PotModel dose = hotWater();
    dose.doses = {{.start_s = 0.0, .over_s = -1.0, .amount_g = 1.0}};
    EXPECT_THAT(simulatePot(dose, soon).error().what, HasSubstr("dose"));
    PotModel unknown = hotWater();
    unknown.start_c = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(simulatePot(unknown, soon));
    const std::vector<double> backward{2.0, 1.0};
    EXPECT_THAT(simulatePot(hotWater(), backward).error().what, HasSubstr("ascending"));
}

TEST(CureLaw, needsNoCatalystWhenItsOrderIsNought) {
    const CureLaw law{.a1_per_s = 1e5, .e1_j_per_mol = 50000.0, .n = 1.0};
    const double rate = curingRatePerS(law, {.temperature_c = 80.0, .degree = 0.3});
    EXPECT_NEAR(rate, 1e5 * std::exp(-50000.0 / (8.31446261815324 * 353.15)) * 0.7, 1e-12);
}

TEST(CureLaw, holdsTheDegreeBetweenNoughtAndOne) {
    const CureLaw law{
        .a1_per_s = 1e5, .e1_j_per_mol = 50000.0, .a2_per_s = 1e5, .e2_j_per_mol = 50000.0, .m = 0.5, .n = 1.3};
    EXPECT_EQ(curingRatePerS(law, {.temperature_c = 80.0, .degree = 1.001}), 0.0);
    EXPECT_GT(curingRatePerS(law, {.temperature_c = 80.0, .degree = -0.001}), 0.0);
}

} // namespace
} // namespace potwatch::forecast
