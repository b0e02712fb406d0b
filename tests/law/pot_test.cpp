// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "tests/law/pots.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::law {
namespace {

using forecast::DosePortion;
using forecast::PotModel;
using forecast::PotState;
using forecast::simulatePot;

std::vector<PotState> statesOf(const PotModel& model, const std::vector<double>& times_s) {
    const auto states = simulatePot(model, times_s);
    EXPECT_TRUE(states) << describe(states.error());
    return states.value_or(std::vector<PotState>{});
}

class Pots : public testing::TestWithParam<bool> {};

TEST_P(Pots, releaseWhatTheyStoreLoseAndEvaporate) {
    const PotModel model = dosedPot(GetParam());
    const auto times_s = everySecondTenth(3600.0);
    const auto states = statesOf(model, times_s);
    ASSERT_EQ(states.size(), times_s.size());
    // The liquid that leaves as vapour or comes as dose carries its own heat, counted from the start's temperature.
    double carried_j = 0.0;
    for (std::size_t i = 1; i < states.size(); ++i) {
        const double evaporated_g = states[i].evaporated_g - states[i - 1].evaporated_g;
        const double above_k = 0.5 * (states[i].temperature_c + states[i - 1].temperature_c) - model.start_c;
        carried_j += evaporated_g * model.water_specific_heat_j_per_g_k * above_k;
    }
    const PotState& end = states.back();
    const double brought_j = end.dosed_g * model.dose_specific_heat_j_per_g_k * (model.dose_c - model.start_c);
    const double stored_j = end.heat_capacity_j_per_k * (end.temperature_c - model.start_c);
    EXPECT_NEAR((stored_j + end.lost_j + end.evaporation_j + carried_j - brought_j) / end.heat_j, 1.0, 1e-6);
    EXPECT_EQ(end.evaporated_g > 0.1, GetParam());
}

TEST_P(Pots, neverCureBackwardsNorBeyondOne) {
    const auto states = statesOf(dosedPot(GetParam()), everySecondTenth(3600.0));
    for (std::size_t i = 1; i < states.size(); ++i) {
        ASSERT_GE(states[i].degree, states[i - 1].degree - 1e-9);
        ASSERT_LE(states[i].degree, 1.0 + 1e-9);
        ASSERT_GE(states[i].evaporated_g, states[i - 1].evaporated_g - 1e-9);
    }
    EXPECT_GT(states.back().degree, 0.9);
}

TEST_P(Pots, runAlikeAtAnySizeWhenAllOfThemScales) {
    const PotModel small = dosedPot(GetParam());
    PotModel large = small;
    for (double* amount : {&large.resin_g, &large.vessel_j_per_k, &large.loss_coefficient_w_per_k,
                           &large.boil_g_per_s_k, &large.water_g}) {
        *amount *= 7.0;
    }
    for (DosePortion& dose : large.doses) {
        dose.amount_g *= 7.0;
    }
    const std::vector<double> times_s{100.0, 400.0, 600.0, 900.0, 3000.0};
    const auto few = statesOf(small, times_s);
    const auto many = statesOf(large, times_s);
    for (std::size_t i = 0; i < times_s.size(); ++i) {
        EXPECT_NEAR(many[i].temperature_c, few[i].temperature_c, 1e-5);
        EXPECT_NEAR(many[i].heat_j, 7.0 * few[i].heat_j, 1e-3);
    }
}

TEST_P(Pots, doNotDependOnWhenTheyAreLookedAt) {
    const auto often = statesOf(dosedPot(GetParam()), everySecondTenth(1000.0));
    const auto once = statesOf(dosedPot(GetParam()), {600.0});
    EXPECT_NEAR(often[3000].temperature_c, once[0].temperature_c, 1e-5);
    EXPECT_NEAR(often[3000].degree, once[0].degree, 1e-7);
}

INSTANTIATE_TEST_SUITE_P(Law, Pots, testing::Bool(),
                         [](const auto& pot) { return std::string(pot.param ? "boiling" : "quiet"); });

TEST(Pot, cureDependsOnCatalystPerResinOnly) {
    PotModel pot = dosedPot(false);
    pot.doses = {{.start_s = 0.0, .over_s = 0.0, .amount_g = 3.0}};
    PotModel doubled = pot;
    doubled.law.catalyst_reference_g_per_g *= 2.0;
    doubled.doses[0].amount_g *= 2.0;
    doubled.dose_specific_heat_j_per_g_k /= 2.0;
    const auto one = statesOf(pot, {500.0});
    const auto two = statesOf(doubled, {500.0});
    EXPECT_NEAR(one[0].temperature_c, two[0].temperature_c, 1e-6);
}

TEST(Pot, reachesTheAdiabaticRiseWhenNothingIsLost) {
    PotModel pot = dosedPot(false);
    pot.loss_coefficient_w_per_k = 0.0;
    pot.boil_g_per_s_k = 0.0;
    pot.doses = {{.start_s = 0.0, .over_s = 0.0, .amount_g = 3.0}};
    pot.dose_c = pot.start_c;
    const auto end = statesOf(pot, {50000.0})[0];
    const double rise_k = pot.resin_g * pot.heat_of_reaction_j_per_g * end.degree / end.heat_capacity_j_per_k;
    EXPECT_NEAR(end.temperature_c - pot.start_c, rise_k, 1e-5);
    EXPECT_GT(end.degree, 0.999);
}

} // namespace
} // namespace potwatch::law
