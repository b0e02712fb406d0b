// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/batch_check.h"
#include "app/session/ladder.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace potwatch::session {
namespace {

std::vector<std::string> missing(const Batch& batch, const Findings* findings = nullptr) {
    std::vector<std::string> fields;
    for (const Rung& rung : ladder(batch, findings)) {
        if (!rung.reached) {
            fields.push_back(rung.field);
        }
    }
    return fields;
}

TEST(Ladder, startsWithTheTraceAlone) {
    EXPECT_TRUE(ladder({}, nullptr).front().reached);
    EXPECT_EQ(nextStep(ladder({}, nullptr)),
              "with the probe's lag you also get the resin's own peak, which the probe blunts");
}

TEST(Ladder, stepsAwayWhatIsStated) {
    Batch batch;
    batch.sensor_lag_s = 4.0;
    EXPECT_EQ(nextStep(ladder(batch, nullptr)), "with the mass of the resin you also get the heat in joules");
    batch.charge.resin_g = 80.0;
    EXPECT_EQ(nextStep(ladder(batch, nullptr)),
              "with the vessel's heat capacity you also get the vessel's share of the heat");
    batch.vessel.heat_capacity_j_per_k = 25.0;
    batch.charge.specific_heat_j_per_g_k = 2.0;
    batch.cure = {.heat_of_reaction_j_per_g = 270.0, .gel_degree = 0.55};
    EXPECT_EQ(nextStep(ladder(batch, nullptr)), "");
}

TEST(Ladder, asksForTheWeighedLossOnlyWhereThePotBoiled) {
    Findings findings;
    const auto asks = [&] {
        const auto fields = missing({}, &findings);
        return std::find(fields.begin(), fields.end(), "weighed.loss_g") != fields.end();
    };
    EXPECT_FALSE(asks());
    findings.landmarks.boil_plateau = BoilPlateau{};
    EXPECT_TRUE(asks());
}

TEST(Ladder, ofABlankLeadsToTheLoss) {
    Batch batch;
    batch.blank = true;
    EXPECT_EQ(missing(batch).front(), "charge.water_g");
}

TEST(BatchCheck, hasTheRulesOfTheBatchFile) {
    Batch batch;
    EXPECT_TRUE(faultsOf(batch).empty());
    batch.charge.resin_g = -5.0;
    ASSERT_EQ(faultsOf(batch).size(), 1U);
    EXPECT_EQ(faultsOf(batch).front().kind, FaultKind::range);
    batch.cure.gel_degree = 2.0;
    EXPECT_EQ(faultsOf(batch).size(), 2U);
}

TEST(BatchCheck, findsWhatAnEditBroughtIn) {
    Batch before;
    before.charge.resin_g = -5.0; // wrong already: not the edit's fault
    Batch after = before;
    after.vessel.name = "beaker";
    EXPECT_TRUE(newFaults(before, after).empty());
    after.cure.gel_degree = 2.0;
    ASSERT_EQ(newFaults(before, after).size(), 1U);
    EXPECT_NE(newFaults(before, after).front().what.find("gel_degree"), std::string::npos);
}

} // namespace
} // namespace potwatch::session
