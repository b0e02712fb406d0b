// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/kinetics/fit.h"
#include "tests/reference/truth_runs.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

// A run that took no part in the fit is forecast from its batch file and the kinetics of the others.
// Source: tests/reference/truth/README.md (a stiff integrator outside the project).
namespace potwatch {
namespace {

// The batch files do not say how briskly it boils: the pot is then held near its boiling point.
constexpr double brisk_boil_g_per_s_k = 0.5;
constexpr double water_share = 0.2; // of the resin that can boil off; more than any of these runs does

forecast::PotModel potOf(const Batch& batch, const KineticFit& fit) {
    const Dose& dose = *batch.dose;
    forecast::PotModel pot{.resin_g = *batch.charge.resin_g,
                           .specific_heat_j_per_g_k = *batch.charge.specific_heat_j_per_g_k,
                           .vessel_j_per_k = *batch.vessel.heat_capacity_j_per_k,
                           .surroundings_c = *batch.surroundings.temperature_c,
                           .start_c = *batch.surroundings.temperature_c,
                           .law = forecast::lawOf(fit.kinetics),
                           .heat_of_reaction_j_per_g = fit.kinetics.heat_of_reaction_j_per_g,
                           .doses = {{.start_s = *dose.start_s,
                                      .over_s = 60.0 * *dose.total_g / *dose.rate_g_per_min,
                                      .amount_g = *dose.total_g}},
                           .dose_specific_heat_j_per_g_k = *dose.specific_heat_j_per_g_k,
                           .dose_c = *dose.temperature_c,
                           .boiling_c = *batch.charge.boiling_c,
                           .boil_g_per_s_k = brisk_boil_g_per_s_k,
                           .water_g = water_share * *batch.charge.resin_g};
    for (const FittedParameter& one : fit.parameters) {
        if (one.name == "loss_coefficient_w_per_k") {
            pot.loss_coefficient_w_per_k = one.value.value;
        } else if (one.name == "loss_exponent") {
            pot.loss_exponent = one.value.value;
        }
    }
    return pot;
}

class LeftOutRun : public testing::TestWithParam<std::string> {};
INSTANTIATE_TEST_SUITE_P(Fit, LeftOutRun, testing::Values("s01", "s02", "s03", "s04", "s05", "s06", "s07"),
                         [](const testing::TestParamInfo<std::string>& run) { return run.param; });

TEST_P(LeftOutRun, isForecastFromTheOthers) {
    std::vector<std::string> others;
    for (const std::string name : {"s01", "s02", "s03", "s04", "s05", "s06", "s07"}) {
        if (name != GetParam()) {
            others.push_back(name);
        }
    }
    const auto fit = fitKinetics(reference::truthRuns(others), {.find_catalyst_order = true, .compare_models = false});
    ASSERT_TRUE(fit) << describe(fit.error());
    std::vector<double> time_s(7201);
    std::iota(time_s.begin(), time_s.end(), 0.0);
    const auto states = forecast::simulatePot(potOf(reference::truthRun(GetParam()).batch, *fit), time_s);
    ASSERT_TRUE(states) << describe(states.error());
    const auto hottest = std::max_element(
        states->begin(), states->end(), [](const auto& a, const auto& b) { return a.temperature_c < b.temperature_c; });
    const auto truth = reference::truthOf(GetParam());
    const bool boiled = truth["boiled"].get<bool>();
    EXPECT_NEAR(hottest->temperature_c, truth["peak_temperature_c"].get<double>(), boiled ? 3.0 : 1.0);
    EXPECT_EQ(states->back().evaporated_g > 0.0, boiled);
    RecordProperty("peak_c", std::to_string(hottest->temperature_c));
}

} // namespace
} // namespace potwatch
