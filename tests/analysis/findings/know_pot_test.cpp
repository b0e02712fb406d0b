// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/know_pot.h"
#include "tests/analysis/findings/hot_water.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <string>

namespace potwatch {
namespace {

using test::Beaker;
using test::hotWaterRun;

TEST(KnowPot, findsVesselAndLossOfAKnownPot) {
    const Beaker truth{.vessel_j_per_k = 60.0, .loss_w_per_k = 0.8, .exponent = 0.1};
    const potwatch::Run run = hotWaterRun(truth, {.noise_k = 0.02});
    const Result<PotKnowledge> known =
        knowPot(run, {.water_g = truth.water_g, .water_c = truth.water_c, .covered = true});
    ASSERT_TRUE(known) << describe(known.error());
    ASSERT_TRUE(known->vessel_j_per_k) << known->why_no_vessel;
    EXPECT_NEAR(*known->poured_s, truth.poured_s, 3.0);
    EXPECT_NEAR(known->vessel_j_per_k->value, 60.0, 3.0);
    EXPECT_LT(known->vessel_j_per_k->low, 60.0);
    EXPECT_GT(known->vessel_j_per_k->high, 60.0);
    ASSERT_TRUE(known->loss_coefficient_w_per_k) << known->why_no_loss;
    EXPECT_NEAR(known->loss_coefficient_w_per_k->value, 0.8, 0.03);
}

TEST(KnowPot, saysWhatItCannotKnow) {
    const Beaker truth;
    const potwatch::Run run = hotWaterRun(truth, {});
    const Result<PotKnowledge> unmeasured = knowPot(run, {.water_g = truth.water_g, .covered = true});
    ASSERT_TRUE(unmeasured);
    EXPECT_FALSE(unmeasured->vessel_j_per_k);
    EXPECT_NE(unmeasured->why_no_vessel.find("before it was poured"), std::string::npos);
    ASSERT_TRUE(unmeasured->loss_coefficient_w_per_k);
    const Result<PotKnowledge> measured =
        knowPot(run, {.water_g = truth.water_g, .water_c = truth.water_c, .covered = true});
    ASSERT_TRUE(measured);
    EXPECT_GT(unmeasured->loss_coefficient_w_per_k->u, measured->loss_coefficient_w_per_k->u);

    const Result<PotKnowledge> colder = knowPot(run, {.water_g = truth.water_g, .water_c = 60.0, .covered = true});
    ASSERT_TRUE(colder);
    EXPECT_FALSE(colder->vessel_j_per_k);
    EXPECT_NE(colder->why_no_vessel.find("60.0 °C before"), std::string::npos);
}

TEST(KnowPot, needsThePouringAndTheSurroundings) {
    const Beaker truth;
    potwatch::Run late = hotWaterRun(truth, {.from_s = 900.0});
    const Result<PotKnowledge> known =
        knowPot(late, {.water_g = truth.water_g, .water_c = truth.water_c, .covered = true});
    ASSERT_TRUE(known);
    EXPECT_FALSE(known->vessel_j_per_k);
    EXPECT_NE(known->why_no_vessel.find("not in the recording"), std::string::npos);
    const Result<PotKnowledge> told = knowPot(
        late,
        {.water_g = truth.water_g, .water_c = truth.water_c, .poured_s = truth.poured_s - 900.0, .covered = true});
    ASSERT_TRUE(told);
    EXPECT_FALSE(told->vessel_j_per_k); // too long ago
    late.batch.surroundings = {};
    const Result<PotKnowledge> nowhere = knowPot(late, {.water_g = truth.water_g});
    ASSERT_FALSE(nowhere);
    EXPECT_NE(nowhere.error().remedy.find("--surroundings-c"), std::string::npos);
    EXPECT_FALSE(knowPot(late, {.water_g = 0.0}));
    EXPECT_FALSE(knowPot(late, {.water_g = 200.0, .water_c = 300.0}));
}

TEST(KnowPot, ofAnOpenPotReadsTheCoolingBelowSixtyDegrees) {
    const Beaker truth;
    const potwatch::Run run = hotWaterRun(truth, {.to_s = 9000.0});
    const Result<PotKnowledge> open = knowPot(run, {.water_g = truth.water_g, .water_c = truth.water_c});
    ASSERT_TRUE(open);
    const auto from = static_cast<std::size_t>(open->cooling_from_s); // a reading a second
    EXPECT_NEAR(run.channels.front().values.at(from), 60.0, 0.5);
    EXPECT_GT(open->cooling_from_s, truth.poured_s + 120.0);
    EXPECT_TRUE(open->warnings.empty()) << open->warnings.front();
    const potwatch::Run brief = hotWaterRun(truth, {.to_s = 480.0});
    const Result<PotKnowledge> hot = knowPot(brief, {.water_g = truth.water_g, .water_c = truth.water_c});
    ASSERT_TRUE(hot);
    ASSERT_FALSE(hot->warnings.empty());
    EXPECT_NE(hot->warnings.front().find("above 60 °C"), std::string::npos);
}

TEST(KnowPot, countsTheVapour) {
    const Beaker truth;
    const potwatch::Run run = hotWaterRun(truth, {});
    const Result<PotKnowledge> known =
        knowPot(run, {.water_g = truth.water_g, .water_c = truth.water_c, .covered = true, .loss_g = 3.0});
    ASSERT_TRUE(known);
    ASSERT_TRUE(known->evaporated_share);
    const double last_c = run.channels.front().values.back();
    // 3 g at 2320 J/g (from the steam tables near 65 °C is 2346), of what 200 g of water gave off.
    const double lost_j = (truth.water_g * 4.19 + truth.vessel_j_per_k) * (known->mixed_c->value - last_c);
    EXPECT_NEAR(*known->evaporated_share, 3.0 * 2346.0 / lost_j, 0.03 * *known->evaporated_share);
}

} // namespace
} // namespace potwatch
