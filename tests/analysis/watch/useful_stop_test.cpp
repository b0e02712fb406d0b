// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/watch/useful_stop.h"
#include "tests/reference/truth_pot.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

namespace potwatch::watch {
namespace {

constexpr double limit_c = 95.0;

Batch batchOf() {
    Batch batch;
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0};
    batch.vessel = {.heat_capacity_j_per_k = 25.0, .loss_coefficient_w_per_k = 0.8};
    batch.dose = Dose{.total_g = 4.0, .specific_heat_j_per_g_k = 3.0, .temperature_c = 22.0};
    return batch;
}

Kinetics kineticsOf() {
    return {.kind = RateModel::autocatalytic,
            .heat_of_reaction_j_per_g = 270.0,
            .a1_per_s = 1.4e7,
            .e1_kj_per_mol = 60.0,
            .a2_per_s = 9.0e5,
            .e2_kj_per_mol = 48.0,
            .m = 0.55,
            .n = 1.4,
            .catalyst_order = 1.0,
            .catalyst_reference_g_per_g = 0.05};
}

// Peak of the truth's pot [°C] when its dose stops at stop_s.
double peakC(double rate_g_per_min, double stop_s) {
    forecast::PotModel pot = reference::truthPot(rate_g_per_min);
    const double over_s = std::min(stop_s - 120.0, pot.doses.front().over_s);
    pot.doses.front().amount_g = rate_g_per_min / 60.0 * over_s;
    pot.doses.front().over_s = over_s;
    pot.boil_g_per_s_k = 0.0;
    std::vector<double> time_s;
    for (double t = 0.0; t <= 7200.0; t += 0.5) {
        time_s.push_back(t);
    }
    double peak_c = 0.0;
    const auto states = forecast::simulatePot(pot, time_s);
    for (const forecast::PotState& s : *states) {
        peak_c = std::max(peak_c, s.temperature_c);
    }
    return peak_c;
}

std::optional<UsefulStop> stopAt(double rate_g_per_min, double now_s) {
    const std::vector<double> at_s{now_s};
    const forecast::PotState state = forecast::simulatePot(reference::truthPot(rate_g_per_min), at_s)->front();
    return latestUsefulStop(batchOf(), kineticsOf(),
                            {.now_s = now_s,
                             .temperature_c = state.temperature_c,
                             .surroundings_c = 22.0,
                             .degree = state.degree,
                             .dosed_g = state.dosed_g,
                             .rate_g_per_s = rate_g_per_min / 60.0,
                             .total_g = 4.0,
                             .limit_c = limit_c});
}

TEST(UsefulStop, isWhereTheTruePeakMeetsTheLimit) {
    for (const double rate : {0.35, 0.6}) {
        const auto stop = stopAt(rate, 240.0);
        ASSERT_TRUE(stop && stop->latest_s) << rate;
        EXPECT_LT(peakC(rate, *stop->latest_s), limit_c) << rate;
        EXPECT_GT(peakC(rate, *stop->latest_s + 3.0), limit_c) << rate;
    }
}

TEST(UsefulStop, doesNotMoveWhileTheForecastHolds) {
    const auto early = stopAt(0.6, 200.0);
    const auto late = stopAt(0.6, 260.0);
    ASSERT_TRUE(early && early->latest_s && late && late->latest_s);
    EXPECT_NEAR(*early->latest_s, *late->latest_s, 1.0);
}

TEST(UsefulStop, isTooLateOnceItIsPassed) {
    const auto stop = stopAt(0.6, 240.0);
    ASSERT_TRUE(stop && stop->latest_s);
    const auto after = stopAt(0.6, *stop->latest_s + 5.0);
    ASSERT_TRUE(after);
    EXPECT_TRUE(after->too_late);
    EXPECT_FALSE(after->latest_s);
}

TEST(UsefulStop, letsASlowDoseGoOnToItsEnd) {
    const auto stop = stopAt(0.08, 240.0);
    ASSERT_TRUE(stop);
    EXPECT_FALSE(stop->too_late);
    EXPECT_FALSE(stop->latest_s);
}

TEST(UsefulStop, isUnknownWithoutTheLoss) {
    Batch batch = batchOf();
    batch.vessel.loss_coefficient_w_per_k.reset();
    EXPECT_FALSE(latestUsefulStop(batch, kineticsOf(), {.rate_g_per_s = 0.01, .limit_c = limit_c}));
}

} // namespace
} // namespace potwatch::watch
