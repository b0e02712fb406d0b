// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/compared_run.h"
#include "app/session/lineage.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::session {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

ListedRun listed(const char* name, const char* based_on, double rate, std::int64_t at_s) {
    ListedRun run;
    run.row.id = name;
    run.row.name = name;
    run.row.added_utc_us = at_s * 1'000'000;
    run.row.notes.batch.based_on = based_on;
    run.row.notes.batch.dose = Dose{.substance = "acid", .rate_g_per_min = rate};
    return run;
}

compare::ComparedRun found(double peak_c, double u_k, bool boiled) {
    compare::ComparedRun run;
    run.findings.landmarks.peak = Peak{
        .time_s = normalEstimate(300.0, 1.0), .temperature_c = normalEstimate(peak_c, u_k), .reading_c = std::nullopt};
    if (boiled) {
        run.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 290.0, .end_s = 330.0, .temperature_c = peak_c};
    }
    return run;
}

TEST(Lineage, saysWhatWasChangedAndWhatCameOfIt) {
    std::vector<ListedRun> runs{listed("rod 01", "", 0.5, 1), listed("rod 02", "rod 01", 0.3, 2)};
    runs[1].row.notes.batch.outcome.foam = Foam::none;
    runs[0].row.notes.batch.outcome.foam = Foam::edge;
    const compare::ComparedRun first = found(95.0, 0.3, false);
    const compare::ComparedRun second = found(91.5, 0.4, false);
    const std::vector<const compare::ComparedRun*> compared{&first, &second};
    const std::vector<LineageLine> lines = lineage(runs, compared);
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_FALSE(lines[0].parent);
    EXPECT_FALSE(lines[0].peak_c.difference);
    EXPECT_EQ(lines[1].parent, 0U);
    EXPECT_EQ(lines[1].depth, 1);
    EXPECT_THAT(lines[1].changes, ElementsAre("0.5 to 0.3 g/min"));
    ASSERT_TRUE(lines[1].peak_c.difference);
    EXPECT_NEAR(lines[1].peak_c.difference->value, -3.5, 1e-12);
    EXPECT_NEAR(lines[1].peak_c.difference->u, 0.5, 1e-12) << "0.3 and 0.4 at right angles";
    EXPECT_NEAR(lines[1].peak_c.difference->high, -3.5 + 0.5 * coverage_factor_95, 1e-9);
    EXPECT_EQ(lines[1].outcome, "no foam");
    EXPECT_EQ(lines[1].parent_outcome, "foam at the edge");
    EXPECT_EQ(boilChangeText(lines[1]), "");
}

TEST(Lineage, keepsALopsidedIntervalLopsided) {
    const std::vector<ListedRun> runs{listed("a", "", 0.5, 1), listed("b", "a", 0.5, 2)};
    compare::ComparedRun before = found(90.0, 0.0, false);
    compare::ComparedRun now = found(90.0, 0.0, false);
    before.findings.cure.final_degree = Estimate{.value = 0.90, .u = 0.02, .low = 0.86, .high = 0.94};
    now.findings.cure.final_degree = Estimate{.value = 0.98, .u = 0.02, .low = 0.93, .high = 1.00};
    const std::vector<const compare::ComparedRun*> compared{&before, &now};
    const std::optional<Estimate> by = lineage(runs, compared)[1].degree.difference;
    ASSERT_TRUE(by);
    EXPECT_NEAR(by->value, 0.08, 1e-12);
    EXPECT_NEAR(by->low, 0.08 - std::hypot(0.05, 0.04), 1e-12);
    EXPECT_NEAR(by->high, 0.08 + std::hypot(0.02, 0.04), 1e-12);
}

TEST(Lineage, givesNoDifferenceOfWhatIsOnlyALowerBound) {
    const std::vector<ListedRun> runs{listed("a", "", 0.5, 1), listed("b", "a", 0.3, 2), listed("c", "b", 1.0, 3),
                                      listed("d", "c", 2.0, 4)};
    const compare::ComparedRun hot = found(100.5, 0.2, true);
    const compare::ComparedRun cool = found(92.0, 0.2, false);
    const std::vector<const compare::ComparedRun*> compared{&hot, &cool, &hot, &hot};
    const std::vector<LineageLine> lines = lineage(runs, compared);
    EXPECT_FALSE(lines[1].peak_c.difference);
    EXPECT_TRUE(lines[1].peak_c.before_at_least);
    EXPECT_FALSE(lines[1].peak_c.now_at_least);
    EXPECT_EQ(boilChangeText(lines[0]), "boiled");
    EXPECT_EQ(boilChangeText(lines[1]), "no longer boiled");
    EXPECT_EQ(boilChangeText(lines[2]), "boiled now");
    EXPECT_EQ(boilChangeText(lines[3]), "boiled, as before");
}

TEST(Lineage, leavesBlanksOutAndWaitsForAnalyses) {
    std::vector<ListedRun> runs{listed("blank", "", 0.0, 1), listed("a", "blank", 0.5, 2), listed("b", "a", 0.5, 3)};
    runs[0].row.notes.batch.blank = true;
    const std::vector<const compare::ComparedRun*> compared(3, nullptr);
    const std::vector<LineageLine> lines = lineage(runs, compared);
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_FALSE(lines[0].parent) << "a blank is no run to change";
    EXPECT_FALSE(lines[0].boiled);
    EXPECT_EQ(boilChangeText(lines[0]), "");
    EXPECT_THAT(lines[1].changes, IsEmpty()) << "the same again";
    EXPECT_TRUE(lines[1].parent);
}

} // namespace
} // namespace potwatch::session
