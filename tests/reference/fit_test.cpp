// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/adiabatic.h"
#include "analysis/kinetics/fit.h"
#include "tests/reference/truth_pot.h"
#include "tests/reference/truth_runs.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

// Source: tests/reference/truth/README.md (a stiff integrator outside the project; parameters invented: A1 = 1.4e7 1/s,
// E1 = 60 kJ/mol, A2 = 9e5 1/s, E2 = 48 kJ/mol, m = 0.55, n = 1.4, order 1 at 0.05 g/g, H = 270 J/g, UA = 0.8 W/K).
namespace potwatch {
namespace {

using reference::truthRuns;
using ::testing::HasSubstr;

const std::vector<std::string> all_runs{"s01", "s02", "s03", "s04", "s05", "s06", "s07"};

Estimate named(const KineticFit& fit, const std::string& name) {
    const auto found = std::find_if(fit.parameters.begin(), fit.parameters.end(),
                                    [&](const FittedParameter& one) { return one.name == name; });
    EXPECT_NE(found, fit.parameters.end()) << name;
    return found == fit.parameters.end() ? Estimate{} : found->value;
}

MATCHER_P(holds, truth, "interval that holds the truth") {
    *result_listener << "[" << arg.low << ", " << arg.high << "]";
    return arg.low <= truth && truth <= arg.high;
}

void expectTheLaw(const KineticFit& fit) {
    EXPECT_LT(fit.rmse_degree, 0.0013);
    EXPECT_NEAR(named(fit, "catalyst_order").value, 1.0, 0.02);
    EXPECT_NEAR(named(fit, "e2_kj_per_mol").value, 48.0, 2.0); // the path that carries most of the cure
    EXPECT_NEAR(named(fit, "m").value, 0.55, 0.03);
    EXPECT_NEAR(named(fit, "n").value, 1.4, 0.03);
    EXPECT_THAT(named(fit, "e1_kj_per_mol"), holds(60.0));
    EXPECT_THAT(named(fit, "e2_kj_per_mol"), holds(48.0));
    EXPECT_THAT(named(fit, "m"), holds(0.55));
    EXPECT_THAT(named(fit, "n"), holds(1.4));
    EXPECT_THAT(named(fit, "catalyst_order"), holds(1.0));
    EXPECT_THAT(named(fit, "loss_coefficient_w_per_k"), holds(0.8));
    EXPECT_THAT(named(fit, "heat_of_reaction_j_per_g"), holds(270.0));
}

TEST(KineticFit, findsTheLawBehindSevenRuns) {
    const auto fit = fitKinetics(truthRuns(all_runs), {.find_catalyst_order = true});
    ASSERT_TRUE(fit) << describe(fit.error());
    expectTheLaw(*fit);
    EXPECT_NEAR(named(*fit, "loss_coefficient_w_per_k").value / 0.8, 1.0, 0.01);
    ASSERT_EQ(fit->left_out.size(), 3U); // s05, s06 and s07 boiled
    EXPECT_EQ(fit->left_out.front().run, "s05");
    EXPECT_THAT(*fit->left_out.front().evaporated_g, holds(0.4953));
    // The other law is worse, and the table says by how much.
    ASSERT_EQ(fit->models.size(), 2U);
    EXPECT_EQ(fit->models[0].aic, 0.0);
    EXPECT_GT(fit->models[1].aic, 100.0);
    EXPECT_EQ(fit->kinetics.fit->covariance.size(), fit->kinetics.fit->parameters.size());
}

TEST(KineticFit, tellsWhatThePotsWouldComeToWithoutHeatLoss) {
    const auto fit = fitKinetics(truthRuns({"s02", "s03", "s06"}), {.find_catalyst_order = true});
    ASSERT_TRUE(fit) << describe(fit.error());
    const forecast::AdiabaticPot in_pot{.law = reference::truthPot(0.2).law,
                                        .resin_g = 80.0,
                                        .heat_of_reaction_j_per_g = 270.0,
                                        .heat_capacity_j_per_k = 197.0};
    forecast::AdiabaticPot alone = in_pot;
    alone.heat_capacity_j_per_k = 172.0;
    const forecast::CurePlace at_once{.temperature_c = 22.0, .degree = 0.0, .catalyst_g_per_g = 0.05};
    for (const FittedRun& run : fit->runs) {
        const AdiabaticFigures& found = run.adiabatic;
        EXPECT_THAT(found.thermal_inertia, holds(197.0 / 172.0)) << run.name;
        EXPECT_THAT(found.rise_k, holds(forecast::adiabaticRiseK(in_pot, 0.0))) << run.name;
        ASSERT_TRUE(found.mtsr_c) << run.name;
        EXPECT_THAT(*found.mtsr_c, holds(22.0 + 21600.0 / 185.0)) << run.name; // as the dose begins
        ASSERT_TRUE(found.time_to_maximum_s && found.time_to_maximum_without_vessel_s) << run.name;
        const double truth_s = forecast::timeToMaximumRate(in_pot, at_once)->time_s;
        EXPECT_NEAR(found.time_to_maximum_s->value / truth_s, 1.0, 0.02) << run.name;
        EXPECT_THAT(*found.time_to_maximum_s, holds(truth_s)) << run.name;
        EXPECT_THAT(*found.time_to_maximum_without_vessel_s, holds(forecast::timeToMaximumRate(alone, at_once)->time_s))
            << run.name;
    }
}

TEST(KineticFit, holdsTheLawWithHeatCapacityAndReferenceOff) {
    std::vector<potwatch::Run> runs = truthRuns(all_runs);
    for (potwatch::Run& run : runs) {
        run.batch.charge.specific_heat_j_per_g_k = 2.0 * 1.02;
        run.batch.vessel.heat_capacity_j_per_k = 25.0 * 1.02;
        run.batch.cure.heat_of_reaction_j_per_g = 270.0 * 1.03;
    }
    const auto fit = fitKinetics(runs, {.find_catalyst_order = true, .compare_models = false});
    ASSERT_TRUE(fit) << describe(fit.error());
    expectTheLaw(*fit);
}

TEST(KineticFit, saysWhatOneRunDoesNotDetermine) {
    const auto fit = fitKinetics(truthRuns({"s03"}), {});
    ASSERT_TRUE(fit) << describe(fit.error());
    const auto unsure = [](const FittedParameter& one) { return !one.determined; };
    EXPECT_TRUE(std::any_of(fit->parameters.begin(), fit->parameters.end(), unsure));
    EXPECT_THAT(fit->warnings, Contains(HasSubstr("is not determined by these runs")));
    EXPECT_THAT(fit->warnings, Contains(HasSubstr("order is taken as 1")));
}

TEST(KineticFit, refusesACatalystOrderFromOneRun) {
    const auto fit = fitKinetics(truthRuns({"s03"}), {.find_catalyst_order = true});
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().kind, FaultKind::missing);
    EXPECT_THAT(fit.error().what, HasSubstr("one run does not tell the catalyst's order"));
}

TEST(KineticFit, refusesRunsOfDifferentResins) {
    std::vector<potwatch::Run> runs = truthRuns({"s03", "s04"});
    runs[1].batch.cure.heat_of_reaction_j_per_g = 310.0;
    const auto fit = fitKinetics(runs, {});
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().kind, FaultKind::input);
    EXPECT_THAT(describe(fit.error()), AllOf(HasSubstr("different resins"), HasSubstr("270"), HasSubstr("310")));
}

TEST(KineticFit, refusesRunsWithoutAHeatReference) {
    std::vector<potwatch::Run> runs = truthRuns({"s03"});
    runs[0].batch.cure.heat_of_reaction_j_per_g.reset();
    const auto fit = fitKinetics(runs, {});
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().kind, FaultKind::input);
    EXPECT_THAT(describe(fit.error()), HasSubstr("no heat of reaction is stated"));
}

TEST(KineticFit, refusesTooLittleOfACure) {
    std::vector<potwatch::Run> runs = truthRuns({"s01"});
    const auto end = std::find_if(runs[0].time_s.begin(), runs[0].time_s.end(), [](double t) { return t > 700.0; });
    const auto kept = static_cast<std::size_t>(end - runs[0].time_s.begin());
    runs[0].time_s.resize(kept);
    for (Channel& channel : runs[0].channels) {
        channel.values.resize(kept);
    }
    const auto fit = fitKinetics(runs, {});
    ASSERT_FALSE(fit);
    EXPECT_EQ(fit.error().kind, FaultKind::missing);
}

TEST(KineticFit, saysWhereACoolingTailDisagreesWithTheOtherRuns) {
    std::vector<potwatch::Run> runs = truthRuns({"s02", "s03", "s04"});
    const auto disagrees =
        Contains(AllOf(HasSubstr("s03: the loss coefficient from its cooling alone"), HasSubstr("disagree")));
    const auto quiet = fitKinetics(runs, {.find_catalyst_order = true, .compare_models = false});
    ASSERT_TRUE(quiet) << describe(quiet.error());
    EXPECT_THAT(quiet->warnings, Not(disagrees));
    // The pot of s03 stood in a draught from 1000 s on: it cools a tenth faster.
    std::vector<double>& pot_c = runs[1].channels.front().values;
    const auto from = std::lower_bound(runs[1].time_s.begin(), runs[1].time_s.end(), 1000.0) - runs[1].time_s.begin();
    const double over_k = pot_c[static_cast<std::size_t>(from)] - 22.0;
    for (auto i = static_cast<std::size_t>(from); i < pot_c.size(); ++i) {
        const double left = (pot_c[i] - 22.0) / over_k;
        pot_c[i] = 22.0 + over_k * (left > 0.0 ? std::pow(left, 1.1) : left);
    }
    const auto fit = fitKinetics(runs, {.find_catalyst_order = true, .compare_models = false});
    ASSERT_TRUE(fit) << describe(fit.error());
    EXPECT_THAT(fit->warnings, disagrees);
}

TEST(KineticFit, learnsTheLossOfAVesselFromItsBlank) {
    // A run cut off before it cools says nothing of its vessel; the blank does.
    const auto fit = fitKinetics(truthRuns({"cut-short", "blank"}), {.compare_models = false});
    ASSERT_TRUE(fit) << describe(fit.error());
    EXPECT_EQ(fit->runs.size(), 1U);
    EXPECT_NEAR(named(*fit, "loss_coefficient_w_per_k").value / 0.8, 1.0, 0.05);
}

} // namespace
} // namespace potwatch
