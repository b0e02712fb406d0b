// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/batch_change.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::session {
namespace {

using testing::ElementsAre;

Batch rod() {
    Batch batch;
    batch.charge.resin_g = 80.0;
    batch.vessel.name = "beaker 250";
    batch.surroundings.temperature_c = 22.0;
    batch.dose = Dose{.substance = "acid", .total_g = 4.0, .rate_g_per_min = 0.5, .start_s = 120.0};
    batch.ingredients = {{.substance = "phenol", .mass_g = 20.0}};
    return batch;
}

TEST(BatchChange, isEmptyWhereOnlyWhatWasSeenDiffers) {
    Batch now = rod();
    now.name = "rod 04";
    now.notes = "foamed";
    now.outcome.void_percent = 12.0;
    now.events = {{.time_s = 120.0, .kind = "gel", .text = {}}};
    EXPECT_EQ(batchChangeText(rod(), now), "");
}

TEST(BatchChange, namesTheDosingRateBeforeAllElse) {
    Batch now = rod();
    now.dose->rate_g_per_min = 0.3;
    EXPECT_EQ(batchChangeText(rod(), now), "0.5 to 0.3 g/min");
    now.dose->rate_g_per_min = 0.28;
    now.charge.resin_g = 100.0;
    EXPECT_THAT(batchChanges(rod(), now), ElementsAre("0.50 to 0.28 g/min", "80 to 100 g of resin"));
    EXPECT_EQ(batchChangeText(rod(), now), "0.50 to 0.28 g/min, 1 more");
}

TEST(BatchChange, saysWhatWasStatedForTheFirstTimeAndWhatNoLongerIs) {
    Batch before = rod();
    before.charge.resin_g.reset();
    EXPECT_EQ(batchChangeText(before, rod()), "80 g of resin");
    EXPECT_EQ(batchChangeText(rod(), before), "g of resin not stated");
}

TEST(BatchChange, knowsVesselsIngredientsAndDoses) {
    Batch now = rod();
    now.vessel.name = "beaker 400";
    EXPECT_EQ(batchChangeText(rod(), now), "in beaker 400");
    now = rod();
    now.ingredients.front().mass_g = 25.0;
    EXPECT_EQ(batchChangeText(rod(), now), "20 to 25 g of phenol");
    now = rod();
    now.dose.reset();
    EXPECT_EQ(batchChangeText(rod(), now), "not dosed");
    EXPECT_EQ(batchChangeText(now, rod()), "dosed");
}

} // namespace
} // namespace potwatch::session
