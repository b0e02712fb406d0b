// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/know_pot.h"
#include "tests/analysis/findings/hot_water.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <random>

namespace potwatch {
namespace {

using test::Beaker;
using test::hotWaterRun;

// All that is stated is off by a draw from its stated uncertainty, taken as rectangular (JCGM 100:2008, 4.3.7).
TEST(KnowPotSlowly, intervalsHoldTheTruth) {
    constexpr int repeats = 200;
    int vessel_inside = 0;
    int loss_inside = 0;
    int exponent_told = 0;
    int exponent_inside = 0;
    double exponent_width = 0.0;
    double vessel_width = 0.0;
    double loss_width = 0.0;
    for (std::uint64_t seed = 1; seed <= repeats; ++seed) {
        std::mt19937_64 random(seed * 7919);
        std::uniform_real_distribution<double> within(-std::sqrt(3.0), std::sqrt(3.0));
        const Beaker truth{.exponent = 0.05 + 0.2 * (within(random) / 3.5 + 0.5)};
        potwatch::Run run = hotWaterRun(truth, {.noise_k = 0.1, .seed = seed});
        *run.batch.surroundings.temperature_c += 0.3 * within(random);
        *run.batch.sensor_lag_s += 0.5 * within(random);
        const Result<PotKnowledge> known = knowPot(run, {.water_g = truth.water_g + 0.5 * within(random),
                                                         .water_c = truth.water_c + 0.3 * within(random),
                                                         .vessel_c = truth.surroundings_c + 0.3 * within(random),
                                                         .covered = true});
        ASSERT_TRUE(known) << describe(known.error());
        ASSERT_TRUE(known->vessel_j_per_k) << seed << known->why_no_vessel;
        ASSERT_TRUE(known->loss_coefficient_w_per_k) << seed << known->why_no_loss;
        const auto holds = [](const Estimate& e, double value) { return e.low <= value && value <= e.high ? 1 : 0; };
        vessel_inside += holds(*known->vessel_j_per_k, truth.vessel_j_per_k);
        loss_inside += holds(*known->loss_coefficient_w_per_k, truth.loss_w_per_k);
        if (const std::optional<Estimate>& exponent = known->loss_exponent) {
            ++exponent_told;
            exponent_inside += holds(*exponent, truth.exponent);
            exponent_width += exponent->high - exponent->low;
        }
        vessel_width += (known->vessel_j_per_k->high - known->vessel_j_per_k->low) / repeats;
        loss_width += (known->loss_coefficient_w_per_k->high - known->loss_coefficient_w_per_k->low) / repeats;
    }
    RecordProperty("vessel_inside", vessel_inside);
    RecordProperty("loss_inside", loss_inside);
    std::printf("vessel: %d of %d, mean width %.1f J/K; loss: %d of %d, mean width %.4f W/K\n", vessel_inside, repeats,
                vessel_width, loss_inside, repeats, loss_width);
    std::printf("exponent: %d of %d, mean width %.4f\n", exponent_inside, exponent_told,
                exponent_width / exponent_told);
    EXPECT_GE(vessel_inside, 0.90 * repeats);
    EXPECT_GE(loss_inside, 0.90 * repeats);
    EXPECT_GE(exponent_told, 0.90 * repeats);
    EXPECT_GE(exponent_inside, 0.90 * exponent_told);
    EXPECT_LT(exponent_width / exponent_told, 0.02);
    EXPECT_LT(vessel_width, 25.0);
    EXPECT_LT(loss_width, 0.03);
}

} // namespace
} // namespace potwatch
