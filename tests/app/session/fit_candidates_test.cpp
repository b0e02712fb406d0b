// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/fit_candidates.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::session {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

ListedRun run(const std::string& id, double heat_j_per_g = 270.0) {
    ListedRun one;
    one.row.id = id;
    one.row.name = id;
    Batch& batch = one.row.notes.batch;
    batch.charge.resin_g = 80.0;
    batch.vessel.name = "beaker";
    batch.cure.heat_of_reaction_j_per_g = heat_j_per_g;
    batch.dose = Dose{.substance = "acid", .total_g = 4.0};
    return one;
}

ListedRun blank(const std::string& id, const std::string& vessel) {
    ListedRun one;
    one.row.id = id;
    one.row.name = id;
    one.row.notes.batch.blank = true;
    one.row.notes.batch.vessel.name = vessel;
    return one;
}

std::vector<std::string> takenOf(const std::vector<ListedRun>& runs, const std::string& shown) {
    std::vector<std::string> taken;
    for (const FitCandidate& one : fitCandidates(runs, shown)) {
        if (one.taken) {
            taken.push_back(one.id);
        }
    }
    return taken;
}

TEST(FitCandidates, areTheRunsOfTheShownResinAndTheBlanksOfTheirVessels) {
    const std::vector<ListedRun> runs{run("a"), run("b", 300.0), blank("water", "beaker"), blank("other", "dish"),
                                      run("c")};
    EXPECT_THAT(takenOf(runs, "a"), ElementsAre("a", "c", "water"));
    EXPECT_THAT(takenOf(runs, "b"), ElementsAre("b", "water"));
    // A blank, or nothing, says nothing of a resin: that of the first run.
    EXPECT_THAT(takenOf(runs, "water"), ElementsAre("a", "c", "water"));
    EXPECT_EQ(fitCandidates(runs, "a")[1].note, "another resin");
    EXPECT_TRUE(fitCandidates(runs, "a")[1].can);
}

TEST(FitCandidates, sayWhatKeepsARunOut) {
    std::vector<ListedRun> runs{run("a"), run("b"), run("c"), run("d"), blank("e", "")};
    runs[0].row.notes.batch.cure.heat_of_reaction_j_per_g.reset();
    runs[1].row.notes.batch.second_heating_of = "a";
    runs[2].row.notes.batch.dose->role = DoseRole::reactant;
    runs[3].row.notes.batch.charge.resin_g.reset();
    const auto found = fitCandidates(runs, "a");
    ASSERT_EQ(found.size(), 5U);
    for (const FitCandidate& one : found) {
        EXPECT_FALSE(one.can || one.taken) << one.name;
        EXPECT_FALSE(one.note.empty()) << one.name;
    }
    EXPECT_THAT(found[0].note, HasSubstr("no heat of reaction"));
    EXPECT_THAT(found[2].note, HasSubstr("a reactant is dosed"));
}

TEST(FitCandidates, areNeitherWithdrawnNorBeingRecorded) {
    std::vector<ListedRun> runs{run("a"), run("b"), run("c")};
    runs[1].row.withdrawn = true;
    runs[2].row.state = book::RunState::recording;
    EXPECT_EQ(fitCandidates(runs, "a").size(), 1U);
}

} // namespace
} // namespace potwatch::session
