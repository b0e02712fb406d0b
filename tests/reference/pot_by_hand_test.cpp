// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "analysis/findings/know_pot.h"
#include "analysis/heat/pot.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

// Whole pots whose course can be written down, so that what the analysis says of them can be worked out by hand.
namespace potwatch {
namespace {

constexpr double surroundings_c = 20.0;

potwatch::Run runOf(const std::string& name, double end_s, const std::function<double(double)>& temperature) {
    potwatch::Run run{.name = name, .channels = {{.name = "pot_c", .unit = "degC"}}};
    for (double t = 0.0; t <= end_s; t += 1.0) {
        run.time_s.push_back(t);
        run.channels.front().values.push_back(temperature(t));
    }
    run.batch.file = name + ".batch.toml";
    run.batch.surroundings.temperature_c = surroundings_c;
    run.batch.sensor_lag_s = 0.0;
    run.batch.uncertainty = {.specific_heat_rel = 0.001,
                             .vessel_j_per_k = 0.05,
                             .surroundings_k = 0.01,
                             .lag_s = 0.01,
                             .heat_of_reaction_rel = 0.001,
                             .thermocouple_k = 0.0};
    return run;
}

Analysis analysisOf(const std::vector<potwatch::Run>& runs) {
    const auto results = analyse(runs, {});
    EXPECT_TRUE(results.back()) << describe(results.back().error());
    return results.back() ? *results.back() : Analysis{};
}

// 100 g of 2.0 J/(g K) in a vessel of 40 J/K: 240 J/K. From 100 s on it cures with 120 W, and loses 0.8 W/K.
// By hand: T = 20 + 150 (1 - exp(-(t - 100) / 300)), so 100 °C after 300 ln(150 / 70) = 228.6 s; there it boils.
constexpr double power_w = 120.0;
constexpr double loss_w_per_k = 0.8;
constexpr double capacity_j_per_k = 240.0;
constexpr double starts_s = 100.0;
constexpr double latent_j_per_g = 2256.47; // Source: IAPWS-IF97 at 100 °C
const double boils_s = starts_s + 300.0 * std::log(150.0 / 70.0);

double heating(double t) {
    return t < starts_s ? 20.0 : 20.0 + 150.0 * (1.0 - std::exp(-(t - starts_s) * loss_w_per_k / capacity_j_per_k));
}

// The cure is over at `ends_s`; the pot then cools with `left_j_per_k`.
potwatch::Run curedPot(double ends_s, double left_j_per_k) {
    const double top_c = std::min(heating(ends_s), 100.0);
    potwatch::Run run = runOf("by hand", 2200.0, [&](double t) {
        return t < ends_s ? std::min(heating(t), 100.0)
                          : 20.0 + (top_c - 20.0) * std::exp(-(t - ends_s) * loss_w_per_k / left_j_per_k);
    });
    run.batch.charge = {.resin_g = 100.0, .specific_heat_j_per_g_k = 2.0, .boiling_c = 100.0};
    run.batch.vessel.heat_capacity_j_per_k = 40.0;
    run.batch.cure = {.heat_of_reaction_j_per_g = 300.0, .gel_degree = 0.4};
    return run;
}

TEST(PotByHand, releasesPowerTimesTime) {
    // Until 300 s: 200 s x 120 W = 24 kJ, 240 J/g, degree 240 / 300 = 0.8; the rise without loss is 24000 / 240 = 100
    // K.
    const Findings found = analysisOf({curedPot(300.0, capacity_j_per_k)}).findings;
    ASSERT_TRUE(found.heat.released_j);
    EXPECT_FALSE(found.heat.lower_bound);
    EXPECT_NEAR(found.heat.released_j->value, 24000.0, 240.0);
    ASSERT_TRUE(found.heat.loss_coefficient_w_per_k);
    EXPECT_NEAR(found.heat.loss_coefficient_w_per_k->value, loss_w_per_k, 0.02 * loss_w_per_k);
    ASSERT_TRUE(found.heat.adiabatic_rise_k);
    EXPECT_NEAR(found.heat.adiabatic_rise_k->value, 100.0, 1.5);
    ASSERT_TRUE(found.cure.final_degree);
    EXPECT_NEAR(found.cure.final_degree->value, 0.8, 0.01);
    EXPECT_FALSE(found.landmarks.boil_plateau);
}

TEST(PotByHand, gelsWhereTheHeatHasReachedItsShare) {
    // Degree 0.4 is 12 kJ: 100 s after the start, at 200 s.
    const Findings found = analysisOf({curedPot(300.0, capacity_j_per_k)}).findings;
    ASSERT_TRUE(found.cure.gel_time_s);
    EXPECT_NEAR(found.cure.gel_time_s->value, 200.0, 3.0);
}

// From the start of boiling on the power falls as exp(-t / 150): what is over the loss of 0.8 x 80 = 64 W goes off as
// steam, until 120 exp(-t / 150) = 64 after 94.29 s: 120 x 150 x (1 - 64 / 120) - 64 x 94.29 = 2365 J, 1.048 g. Then
// the pot cools with 240 - 1.048 x 4.2166 = 235.6 J/K (Source: IAPWS-IF97, liquid at 100 °C), by C T' = P - 0.8 (T -
// 20). All in all it releases 120 x 228.6 J until it boils, and 120 x 150 J from there on: 45.44 kJ.
constexpr double fading_s = 150.0;
const double boiling_s = fading_s * std::log(power_w / 64.0);
const double steam_g = (power_w * fading_s * (1.0 - 64.0 / power_w) - 64.0 * boiling_s) / latent_j_per_g;
const double boiled_truth_j = power_w * (boils_s - starts_s) + power_w * fading_s;

potwatch::Run boiledPot() {
    const double left_j_per_k = capacity_j_per_k - steam_g * 4.2166;
    const double cooling_per_s = loss_w_per_k / left_j_per_k;
    // Of C d' = 64 exp(-t / 150) - 0.8 d with d = 80 K at the plateau's end.
    const double share_k = 64.0 / left_j_per_k / (cooling_per_s - 1.0 / fading_s);
    potwatch::Run run = runOf("boiled", 2200.0, [&](double t) {
        const double cooling_s = t - boils_s - boiling_s;
        return cooling_s < 0.0 ? std::min(heating(t), 100.0)
                               : surroundings_c + share_k * std::exp(-cooling_s / fading_s) +
                                     (80.0 - share_k) * std::exp(-cooling_s * cooling_per_s);
    });
    run.batch = curedPot(300.0, capacity_j_per_k).batch;
    run.batch.vessel.loss_coefficient_w_per_k = loss_w_per_k;
    run.batch.vessel.loss_exponent = 0.0;
    return run;
}

TEST(PotByHand, countsTheSteamThatWasWeighed) {
    potwatch::Run run = boiledPot();
    run.batch.weighed_loss_g = steam_g;
    const Findings found = analysisOf({run}).findings;
    ASSERT_TRUE(found.landmarks.boil_plateau);
    EXPECT_NEAR(found.landmarks.boil_plateau->start_s, boils_s, 10.0);
    EXPECT_NEAR(found.landmarks.boil_plateau->end_s, boils_s + boiling_s,
                35.0); // it falls by but 1 K in the first 25 s
    ASSERT_TRUE(found.heat.released_j);
    EXPECT_NEAR(found.heat.released_j->value, boiled_truth_j, 0.015 * boiled_truth_j);
}

TEST(PotByHand, findsTheSteamThatWasNotWeighed) {
    EXPECT_NEAR(steam_g, 1.048, 0.001);
    EXPECT_NEAR(boiled_truth_j, 45440.0, 10.0);
    const Findings found = analysisOf({boiledPot()}).findings;
    ASSERT_TRUE(found.heat.evaporated_g);
    EXPECT_LE(found.heat.evaporated_g->low, steam_g);
    EXPECT_GE(found.heat.evaporated_g->high, steam_g);
    ASSERT_TRUE(found.heat.released_j);
    EXPECT_NEAR(found.heat.released_j->value, boiled_truth_j, 0.03 * boiled_truth_j);
    EXPECT_LE(found.heat.released_j->low, boiled_truth_j);
    EXPECT_GE(found.heat.released_j->high, boiled_truth_j);
}

TEST(PotByHand, warmsAColdDose) {
    // 20 g of 3 J/(g K) at 20 °C dripped into 240 J/K at 60 °C, nothing lost: the mixture of 240 x 60 and 60 x 20 is at
    // (14400 + 1200) / 300 = 52 °C, and nothing was released.
    heat::Pot pot{.heat_capacity_j_per_k = 240.0};
    pot.dose = heat::DoseCourse{.time_s = {0.0, 400.0}, .dosed_g = {0.0, 20.0}};
    pot.dose_specific_heat_j_per_g_k = 3.0;
    pot.dose_temperature_c = 20.0;
    heat::PotCourse course;
    for (int i = 0; i <= 400; ++i) {
        const double dosed_j_per_k = 3.0 * 20.0 * i / 400.0;
        course.time_s.push_back(i);
        course.temperature_c.push_back((240.0 * 60.0 + dosed_j_per_k * 20.0) / (240.0 + dosed_j_per_k));
        course.slope_k_per_s.push_back((20.0 - course.temperature_c.back()) * 0.15 / (240.0 + dosed_j_per_k));
    }
    for (auto* column :
         {&course.surroundings_c, &course.surroundings_slope_k_per_s, &course.heater_j, &course.evaporated_share}) {
        column->assign(course.size(), 0.0);
    }
    EXPECT_NEAR(course.temperature_c.back(), 52.0, 1e-9);
    EXPECT_NEAR(heat::releasedHeat(pot, course, {}).back(), 0.0, 0.5); // of 1920 J that the dose took up
}

TEST(PotByHand, blankTellsTheLossOfItsVessel) {
    // By hand: 200 g of water, 4.18 J/(g K), in 40 J/K: 876 J/K; with 0.8 W/K it cools with 1095 s.
    potwatch::Run blank = runOf("blank", 3000.0, [](double t) { return 20.0 + 60.0 * std::exp(-t * 0.8 / 876.0); });
    blank.batch.blank = true;
    blank.batch.charge.water_g = 200.0;
    blank.batch.vessel = {.name = "beaker", .heat_capacity_j_per_k = 40.0};
    // The pot's own trace ends with its cure.
    potwatch::Run pot = curedPot(300.0, capacity_j_per_k);
    pot.batch.vessel.name = "beaker";
    pot.time_s.resize(301);
    pot.channels.front().values.resize(301);
    for (std::size_t i = 0; i < pot.time_s.size(); ++i) {
        pot.channels.front().values[i] += i % 2 == 0 ? 0.01 : -0.01; // a probe is never quite still
    }
    const Findings found = analysisOf({blank, pot}).findings;
    ASSERT_TRUE(found.heat.loss_coefficient_w_per_k);
    EXPECT_NEAR(found.heat.loss_coefficient_w_per_k->value, 0.8, 0.016);
    ASSERT_TRUE(found.heat.released_j);
    EXPECT_NEAR(found.heat.released_j->value, 24000.0, 480.0);
}

TEST(PotByHand, hotWaterTellsTheVesselByTheMethodOfMixtures) {
    // By hand: 200 g x 4.18 J/(g K) at 80 °C into 40 J/K at 20 °C: (836 x 80 + 40 x 20) / 876 = 77.260 °C.
    constexpr double mixed_c = (836.0 * 80.0 + 40.0 * 20.0) / 876.0;
    potwatch::Run run = runOf("hot water", 3000.0, [](double t) {
        return t < 60.0 ? 20.0 : 20.0 + (mixed_c - 20.0) * std::exp(-(t - 60.0) * 0.8 / 876.0);
    });
    const Result<PotKnowledge> known = knowPot(run, {.water_g = 200.0, .water_c = 80.0, .covered = true});
    ASSERT_TRUE(known) << describe(known.error());
    ASSERT_TRUE(known->mixed_c);
    EXPECT_NEAR(known->mixed_c->value, 77.260, 0.1);
    ASSERT_TRUE(known->vessel_j_per_k);
    EXPECT_NEAR(known->vessel_j_per_k->value, 40.0, 2.5);
    ASSERT_TRUE(known->loss_coefficient_w_per_k);
    EXPECT_NEAR(known->loss_coefficient_w_per_k->value, 0.8, 0.02);
}

TEST(PotByHand, peakIsAheadOfWhatTheProbeReads) {
    // T = 50 - 30 cos(w t), one swing in 600 s. By hand: a probe of first order with lag 20 s reads it
    // sqrt(1 + (w lag)^2) = 1.02170 times flatter and atan(w lag) / w = 19.72 s late: 79.363 °C at 319.7 s for 80 at
    // 300.
    const double w = 2.0 * 3.14159265358979 / 600.0;
    const double flatter = std::sqrt(1.0 + 400.0 * w * w);
    const double late_s = std::atan(20.0 * w) / w;
    potwatch::Run run = runOf("swing", 560.0, [=](double t) {
        const double settling_k = 30.0 * (1.0 / flatter * std::cos(w * late_s) - 1.0) * std::exp(-t / 20.0);
        return 50.0 - 30.0 / flatter * std::cos(w * (t - late_s)) + settling_k;
    });
    run.batch.sensor_lag_s = 20.0;
    const Findings found = analysisOf({run}).findings;
    ASSERT_TRUE(found.landmarks.peak);
    EXPECT_NEAR(found.landmarks.peak->temperature_c.value, 80.0, 0.05);
    EXPECT_NEAR(found.landmarks.peak->time_s.value, 300.0, 2.0);
    ASSERT_TRUE(found.landmarks.peak->reading_c);
    EXPECT_NEAR(*found.landmarks.peak->reading_c, 79.363, 0.002);
}

TEST(PotByHand, onsetIsWhereTheTangentMeetsTheBaseline) {
    // A logistic rise of 60 K about 400 s with width 25 s: steepest in its middle with 60 / (4 x 25) = 0.6 K/s, 36
    // K/min, and the tangent there meets the baseline 30 / 0.6 = 50 s before. Read through a lag of 5 s it would be 5 s
    // late.
    const potwatch::Run run = [] {
        double probe_c = 22.0;
        double now_s = 0.0;
        potwatch::Run lagged = runOf("logistic", 1500.0, [&](double t) {
            for (; now_s < t; now_s += 0.01) {
                const double pot_c = 22.0 + 60.0 / (1.0 + std::exp(-(now_s - 400.0) / 25.0)) *
                                                std::exp(-std::max(0.0, now_s - 550.0) / 600.0);
                probe_c += (pot_c - probe_c) * 0.01 / 5.0;
            }
            return probe_c;
        });
        lagged.batch.sensor_lag_s = 5.0;
        return lagged;
    }();
    const Findings found = analysisOf({run}).findings;
    ASSERT_TRUE(found.landmarks.onset);
    EXPECT_NEAR(found.landmarks.onset->time_s.value, 350.0, 1.5);
    ASSERT_TRUE(found.landmarks.steepest);
    EXPECT_NEAR(found.landmarks.steepest->rate_k_per_min.value, 36.0, 0.4);
    EXPECT_NEAR(found.landmarks.steepest->time_s.value, 400.0, 4.0);
}

} // namespace
} // namespace potwatch
