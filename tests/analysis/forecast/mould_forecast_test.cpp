// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/mould_forecast.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stop_token>

namespace potwatch::forecast {
namespace {

using ::testing::HasSubstr;

MouldProblem bar() {
    return {.mould = {.shape = MouldShape::slab,
                      .half_thickness_mm = 12.0,
                      .conductivity_w_per_m_k = 0.25,
                      .density_kg_per_m3 = 1150.0,
                      .specific_heat_j_per_g_k = 1.9,
                      .surface_w_per_m2_k = 20.0,
                      .start_c = 25.0},
            .law = {.a1_per_s = 2.0e5, .e1_j_per_mol = 58000.0, .n = 1.2},
            .heat_of_reaction_j_per_g = 200.0,
            .air = {.time_s = {0.0, 3600.0}, .temperature_c = {25.0, 100.0}},
            .other_air = std::nullopt,
            .until_s = 4.0 * 3600.0};
}

TEST(MouldForecast, keepsTheEnergy) {
    for (const MouldShape shape : {MouldShape::slab, MouldShape::cylinder, MouldShape::sphere}) {
        MouldProblem problem = bar();
        problem.mould.shape = shape;
        problem.mould.walls = {{"silicone", 5.0, 0.2, 1100.0, 1.3}};
        const MouldEnergy energy = forecastMould(problem).value().energy;
        EXPECT_NEAR(energy.stored_j + energy.lost_j, energy.released_j, 0.001 * energy.released_j);
        EXPECT_GT(energy.released_j, 0.0);
    }
}

TEST(MouldForecast, isHotterInsideThanOutsideAndCuresTheCoreFirst) {
    const MouldForecast forecast = forecastMould(bar()).value();
    EXPECT_GT(forecast.core.peak_temperature_c, forecast.skin.peak_temperature_c + 1.0);
    EXPECT_GT(forecast.core.degree_final, forecast.skin.degree_final);
    EXPECT_LT(forecast.grid_change_k, grid_tolerance_k);
    EXPECT_EQ(forecast.hottest, forecast.core);
}

// A slab that is insulated on its other side is half of one that is twice as thick.
TEST(MouldForecast, takesAnInsulatedSideForAPlaneOfSymmetry) {
    MouldProblem whole = bar();
    MouldProblem half = bar();
    half.mould.half_thickness_mm = 6.0;
    half.mould.other_side = OtherSide{.surface_w_per_m2_k = 0.0, .walls = {}};
    const MouldForecast expected = forecastMouldOn(40, whole).value();
    const MouldForecast found = forecastMouldOn(20, half).value();
    EXPECT_NEAR(found.skin.peak_temperature_c, expected.skin.peak_temperature_c, 0.01);
    EXPECT_NEAR(found.other_skin->peak_temperature_c, expected.core.peak_temperature_c, 0.01);
}

TEST(MouldForecast, followsDifferentAirOnEitherSide) {
    MouldProblem problem = bar();
    problem.heat_of_reaction_j_per_g = 0.0;
    problem.mould.other_side = OtherSide{.surface_w_per_m2_k = 20.0, .walls = {}};
    problem.air = {.time_s = {0.0}, .temperature_c = {80.0}};
    problem.other_air = TemperatureCourse{.time_s = {0.0}, .temperature_c = {20.0}};
    problem.until_s = 40.0 * 3600.0;
    const std::vector<double> end_c = forecastMould(problem).value().course.temperature_c.back();
    // Steady: 60 K over two films (1/20 each) and 24 mm of 0.25 W/(m K): 60 / (0.05 + 0.05 + 0.096) = 306.1 W/m2.
    EXPECT_NEAR(end_c.back(), 80.0 - 306.122 / 20.0, 0.01);
    EXPECT_NEAR(end_c.front(), 20.0 + 306.122 / 20.0, 0.01);
}

TEST(MouldForecast, endsAtTheVitrificationLimit) {
    MouldProblem problem = bar();
    problem.law.degree_limit = DegreeLimit{.a = 0.3, .b_per_k = 0.005};
    const MouldForecast forecast = forecastMould(problem).value();
    EXPECT_LE(forecast.core.degree_final, 0.3 + 0.005 * forecast.core.peak_temperature_c + 1e-3);
    EXPECT_FALSE(timeToDegreeS(forecast, 0.99));
}

TEST(MouldForecast, seesFoamWhereWaterBoilsUnderItsPressure) {
    MouldProblem problem = bar();
    problem.air.temperature_c = {25.0, 115.0};
    const MouldForecast forecast = forecastMould(problem).value();
    const FoamRisk open = foamRiskOf(forecast, 101.325);
    EXPECT_TRUE(open.foams);
    EXPECT_GT(*open.first_s, 0.0);
    const FoamRisk held = foamRiskOf(forecast, open.holding_pressure_kpa + 0.1);
    EXPECT_FALSE(held.foams);
}

TEST(MouldForecast, refusesWhatCannotBe) {
    const auto whyNot = [](const MouldProblem& problem) {
        const Result<MouldForecast> forecast = forecastMould(problem);
        EXPECT_FALSE(forecast);
        return forecast ? std::string() : forecast.error().what;
    };
    MouldProblem problem = bar();
    problem.mould.half_thickness_mm = 0.0;
    EXPECT_THAT(whyNot(problem), HasSubstr("thickness"));
    problem = bar();
    problem.air = {};
    EXPECT_THAT(whyNot(problem), HasSubstr("air"));
    problem = bar();
    problem.mould.walls = {{"steel", 1.0, -50.0, 7800.0, 0.5}};
    EXPECT_THAT(whyNot(problem), HasSubstr("steel"));
    problem = bar();
    problem.until_s = 0.0;
    EXPECT_THAT(whyNot(problem), HasSubstr("ends before"));
    std::stop_source stopped;
    stopped.request_stop();
    const Result<MouldForecast> forecast = forecastMould(bar(), stopped.get_token());
    ASSERT_FALSE(forecast);
    EXPECT_EQ(forecast.error().kind, FaultKind::cancelled);
}

} // namespace
} // namespace potwatch::forecast
