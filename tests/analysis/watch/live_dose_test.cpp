// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/live_dose.h"

#include <gtest/gtest.h>

#include <vector>

namespace potwatch::watch {
namespace {

const std::vector<Event> none;

TEST(LiveDose, followsTheStatedRateUntilAllIsIn) {
    const Dose dose{.total_g = 4.0, .rate_g_per_min = 2.0, .start_s = 60.0};
    EXPECT_EQ(liveDose(dose, none, 59.0).phase, DosePhase::before);
    const LiveDose half = liveDose(dose, none, 120.0);
    EXPECT_EQ(half.phase, DosePhase::during);
    EXPECT_DOUBLE_EQ(*half.dosed_g, 2.0);
    EXPECT_DOUBLE_EQ(*half.share, 0.5);
    EXPECT_DOUBLE_EQ(*half.rate_g_per_s, 2.0 / 60.0);
    EXPECT_EQ(liveDose(dose, none, 181.0).phase, DosePhase::after);
    EXPECT_DOUBLE_EQ(*liveDose(dose, none, 500.0).dosed_g, 4.0);
}

TEST(LiveDose, marksOutrankTheStatedStart) {
    const Dose dose{.total_g = 4.0, .rate_g_per_min = 2.0, .start_s = 60.0};
    const std::vector<Event> marks{{.time_s = 100.0, .kind = "dose start"}, {.time_s = 130.0, .kind = "dose end"}};
    EXPECT_DOUBLE_EQ(*liveDose(dose, std::span(marks).first(1), 120.0).dosed_g, 2.0 / 3.0);
    const LiveDose ended = liveDose(dose, marks, 400.0);
    EXPECT_EQ(ended.phase, DosePhase::after);
}

TEST(LiveDose, aMarkThatWasUndoneCountsNoMore) {
    const Dose dose{.total_g = 4.0, .rate_g_per_min = 1.0};
    const std::vector<Event> marks{{.time_s = 100.0, .kind = "dose start"}, {.time_s = 130.0, .kind = "dose end"}};
    EXPECT_EQ(liveDose(dose, marks, 140.0).phase, DosePhase::after);
    EXPECT_EQ(liveDose(dose, std::span(marks).first(1), 140.0).phase, DosePhase::during);
    EXPECT_EQ(liveDose(dose, none, 140.0).phase, DosePhase::before);
}

TEST(LiveDose, aTotalWithoutARateSaysNothingWhileItIsGoingIn) {
    const Dose dose{.total_g = 4.0};
    const std::vector<Event> marks{{.time_s = 100.0, .kind = "dose start"}, {.time_s = 160.0, .kind = "dose end"}};
    const LiveDose during = liveDose(dose, std::span(marks).first(1), 130.0);
    EXPECT_EQ(during.phase, DosePhase::during);
    EXPECT_FALSE(during.dosed_g);
    EXPECT_FALSE(during.share);
    EXPECT_DOUBLE_EQ(*liveDose(dose, marks, 200.0).dosed_g, 4.0);
}

TEST(LiveDose, countsDropsAsTheyAreGiven) {
    Dose dose{.total_g = 4.0, .density_g_per_ml = 1.0, .drops_per_ml = 20.0};
    dose.steps = {{.time_s = 100.0, .amount = 20.0, .unit = DoseUnit::drop},
                  {.time_s = 200.0, .amount = 40.0, .unit = DoseUnit::drop}};
    EXPECT_EQ(liveDose(dose, none, 50.0).phase, DosePhase::before);
    EXPECT_DOUBLE_EQ(*liveDose(dose, none, 150.0).dosed_g, 1.0);
    EXPECT_DOUBLE_EQ(*liveDose(dose, none, 250.0).share, 0.75);
    EXPECT_EQ(liveDose(dose, none, 250.0).phase, DosePhase::during);
}

TEST(LiveDose, goesByTheMarksAloneWhereNothingIsStated) {
    const std::vector<Event> marks{{.time_s = 100.0, .kind = "dose start"}, {.time_s = 160.0, .kind = "dose end"}};
    EXPECT_EQ(liveDose({}, none, 200.0).phase, DosePhase::none);
    EXPECT_EQ(liveDose({}, marks, 50.0).phase, DosePhase::none);
    EXPECT_EQ(liveDose({}, marks, 130.0).phase, DosePhase::during);
    EXPECT_EQ(liveDose({}, marks, 200.0).phase, DosePhase::after);
}

} // namespace
} // namespace potwatch::watch
