// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/adiabatic.h"
#include "analysis/forecast/pot_model.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace potwatch::forecast {
namespace {

// An acid-set resin: hardly any rate at degree 0, then it helps itself along.
AdiabaticPot acidSet() {
    return {.law = {.a1_per_s = 1.4e6,
                    .e1_j_per_mol = 60000.0,
                    .a2_per_s = 9.0e5,
                    .e2_j_per_mol = 48000.0,
                    .m = 0.8,
                    .n = 1.4,
                    .catalyst_order = 1.0,
                    .catalyst_reference_g_per_g = 0.05},
            .resin_g = 80.0,
            .heat_of_reaction_j_per_g = 270.0,
            .heat_capacity_j_per_k = 80.0 * 2.0 + 25.0};
}

// When a pot without loss cures fastest, by integration in time.
double fastestAt(const AdiabaticPot& pot, const CurePlace& place, double end_s) {
    PotModel model;
    model.resin_g = pot.resin_g;
    model.specific_heat_j_per_g_k = 2.0;
    model.vessel_j_per_k = pot.heat_capacity_j_per_k - 2.0 * pot.resin_g;
    model.start_c = place.temperature_c;
    model.start_degree = place.degree;
    model.law = pot.law;
    model.heat_of_reaction_j_per_g = pot.heat_of_reaction_j_per_g;
    model.doses = {{.start_s = 0.0, .over_s = 0.0, .amount_g = place.catalyst_g_per_g * pot.resin_g}};
    std::vector<double> time_s;
    for (int i = 0; i <= 20000; ++i) {
        time_s.push_back(end_s * i / 20000.0);
    }
    const auto states = simulatePot(model, time_s);
    EXPECT_TRUE(states) << describe(states.error());
    double fastest = 0.0;
    double fastest_s = 0.0;
    for (std::size_t i = 0; states && i < time_s.size(); ++i) {
        const double rate = curingRatePerS(pot.law, {.temperature_c = (*states)[i].temperature_c,
                                                     .degree = (*states)[i].degree,
                                                     .catalyst_g_per_g = place.catalyst_g_per_g});
        if (rate > fastest) {
            fastest = rate;
            fastest_s = time_s[i];
        }
    }
    return fastest_s;
}

TEST(Adiabatic, riseIsTheHeatStillToCome) {
    EXPECT_DOUBLE_EQ(adiabaticRiseK(acidSet(), 0.25), 0.75 * 80.0 * 270.0 / 185.0);
    EXPECT_DOUBLE_EQ(thermalInertia(185.0, {.mass_g = 80.0, .specific_heat_j_per_g_k = 2.0}), 185.0 / 160.0);
}

TEST(Adiabatic, timeToTheMaximumAgreesWithIntegrationInTime) {
    for (const CurePlace& place :
         {CurePlace{25.0, 0.0, 0.05}, CurePlace{40.0, 0.1, 0.02}, CurePlace{60.0, 0.3, 0.05}}) {
        const auto found = timeToMaximumRate(acidSet(), place);
        ASSERT_TRUE(found) << describe(found.error());
        EXPECT_NEAR(fastestAt(acidSet(), place, 1.5 * found->time_s) / found->time_s, 1.0, 2e-4) << place.temperature_c;
    }
}

TEST(Adiabatic, zeroOrderFigureOfASelfHelpingCureStaysOnTheShortSide) {
    for (const double temperature_c : {15.0, 25.0, 40.0, 60.0}) {
        for (const double degree : {0.0, 1e-6, 0.05, 0.2}) {
            const auto found = timeToMaximumRate(
                acidSet(), {.temperature_c = temperature_c, .degree = degree, .catalyst_g_per_g = 0.05});
            ASSERT_TRUE(found) << describe(found.error());
            ASSERT_TRUE(found->zero_order_s);
            EXPECT_LT(*found->zero_order_s, found->time_s) << temperature_c << " °C, degree " << degree;
        }
    }
}

TEST(Adiabatic, zeroOrderFigureDoesNotHangOnTheSlowStart) {
    const auto figure = [](double degree) {
        return timeToMaximumRate(acidSet(), {.temperature_c = 25.0, .degree = degree, .catalyst_g_per_g = 0.05})
            ->zero_order_s.value_or(0.0);
    };
    EXPECT_NEAR(figure(0.0) / figure(0.1), 1.0, 1e-9);
}

// With a rise of few kelvins the fuel is used up before the cure has become much faster.
TEST(Adiabatic, zeroOrderFigureIsWithheldWhereItWouldPromiseTooMuchTime) {
    AdiabaticPot pot = acidSet();
    const CurePlace place{.temperature_c = 25.0, .degree = 0.5, .catalyst_g_per_g = 0.05};
    ASSERT_TRUE(timeToMaximumRate(pot, place)->zero_order_s);
    bool withheld = false;
    for (; pot.heat_of_reaction_j_per_g > 1.0; pot.heat_of_reaction_j_per_g *= 0.9) {
        const auto found = timeToMaximumRate(pot, place);
        ASSERT_TRUE(found) << describe(found.error());
        withheld = withheld || (found->time_s > 0.0 && !found->zero_order_s);
        EXPECT_LE(found->zero_order_s.value_or(0.0), found->time_s);
    }
    EXPECT_TRUE(withheld);
}

TEST(Adiabatic, aPotThatCuresFastestNowHasNoTimeToGo) {
    const auto found = timeToMaximumRate(acidSet(), {.temperature_c = 90.0, .degree = 0.97, .catalyst_g_per_g = 0.05});
    ASSERT_TRUE(found);
    EXPECT_DOUBLE_EQ(found->time_s, 0.0);
    EXPECT_FALSE(found->zero_order_s);
}

TEST(Adiabatic, nothingCuresWithoutCatalyst) {
    const auto found = timeToMaximumRate(acidSet(), {.temperature_c = 25.0, .degree = 0.0, .catalyst_g_per_g = 0.0});
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().kind, FaultKind::missing);
    EXPECT_FALSE(temperatureForTimeToMaximumC(acidSet(), {}, 3600.0));
}

TEST(Adiabatic, refusesWhatCannotBe) {
    AdiabaticPot pot = acidSet();
    pot.heat_capacity_j_per_k = 0.0;
    EXPECT_EQ(timeToMaximumRate(pot, {25.0, 0.0, 0.05}).error().kind, FaultKind::range);
    EXPECT_EQ(timeToMaximumRate(acidSet(), {25.0, 1.5, 0.05}).error().kind, FaultKind::range);
    EXPECT_EQ(correctedForInertia({{0.0, 1.0}, {20.0, 21.0}}, 0.9, 80.0).error().kind, FaultKind::range);
    EXPECT_EQ(correctedForInertia({{0.0, 0.0}, {20.0, 21.0}}, 1.2, 80.0).error().kind, FaultKind::input);
    EXPECT_EQ(correctedForInertia({{0.0}, {20.0}}, 1.2, 80.0).error().kind, FaultKind::input);
}

TEST(Mtsr, ofACatalystIsTheWholeRestFromTheFirstDropOn) {
    const double whole_k = 80.0 * 270.0 / 185.0;
    DosedMoment moment{.role = DoseRole::catalyst, .temperature_c = 40.0, .degree = 0.2, .catalyst_g_per_g = 1e-4};
    EXPECT_DOUBLE_EQ(mtsrC(acidSet(), moment), 40.0 + 0.8 * whole_k);
    moment.catalyst_g_per_g = 0.0;
    EXPECT_DOUBLE_EQ(mtsrC(acidSet(), moment), 40.0);
}

TEST(Mtsr, ofAReactantIsWhatWasDosedAndHasNotReacted) {
    const double whole_k = 80.0 * 270.0 / 185.0;
    DosedMoment moment{.role = DoseRole::reactant, .temperature_c = 40.0, .degree = 0.2, .dosed_share = 0.5};
    EXPECT_NEAR(mtsrC(acidSet(), moment), 40.0 + 0.3 * whole_k, 1e-12);
    moment.dosed_share = 1.4; // more than the cure needs adds nothing
    EXPECT_NEAR(mtsrC(acidSet(), moment), 40.0 + 0.8 * whole_k, 1e-12);
    moment.degree = 1.0;
    EXPECT_DOUBLE_EQ(mtsrC(acidSet(), moment), 40.0);
}

} // namespace
} // namespace potwatch::forecast
