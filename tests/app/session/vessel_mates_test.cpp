// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/vessel_mates.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::session {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

book::RunRow row(const std::string& id, const std::string& vessel, bool blank = false) {
    book::RunRow row;
    row.id = id;
    row.name = id;
    row.content_hash = id;
    row.samples = 1000;
    row.channels = {"pot_c"};
    row.notes.batch.vessel.name = vessel;
    row.notes.batch.blank = blank;
    return row;
}

TEST(VesselMates, areTheBlanksOfTheVessel) {
    const std::vector<book::RunRow> rows{row("a", "beaker"), row("b", "beaker"), row("blank", "beaker", true),
                                         row("c", "dish"), row("other blank", "dish", true)};
    EXPECT_THAT(vesselMates(rows, 0), ElementsAre(2U));
    EXPECT_THAT(vesselMates(rows, 3), ElementsAre(4U));
}

TEST(VesselMates, areTheOtherRunsWhereThereIsNoBlank) {
    const std::vector<book::RunRow> rows{row("a", "beaker"), row("b", "beaker"), row("c", ""), row("d", "")};
    EXPECT_THAT(vesselMates(rows, 0), ElementsAre(1U));
    EXPECT_THAT(vesselMates(rows, 2), IsEmpty()) << "no name is no vessel";
}

TEST(VesselMates, areNeitherWithdrawnNorBeingRecorded) {
    std::vector<book::RunRow> rows{row("a", "beaker"), row("b", "beaker"), row("c", "beaker")};
    rows[1].withdrawn = true;
    rows[2].state = book::RunState::recording;
    EXPECT_THAT(vesselMates(rows, 0), IsEmpty());
}

TEST(FindingsKey, changesWithWhatTheFindingsHangOnAndWithNothingElse) {
    std::vector<book::RunRow> rows{row("a", "beaker"), row("blank", "beaker", true), row("c", "dish")};
    const std::string key = findingsKey(rows, 0);
    rows[0].notes.tags = {"keep"};
    rows[0].notes.annotations = {{.text = "here"}};
    rows[2].notes.batch.charge.resin_g = 80.0;
    EXPECT_EQ(findingsKey(rows, 0), key);
    rows[1].notes.batch.charge.water_g = 100.0;
    const std::string of_blank = findingsKey(rows, 0);
    EXPECT_NE(of_blank, key) << "the blank teaches the loss";
    rows[0].notes.overrides = {{.landmark = LandmarkKind::onset, .time_s = 500.0}};
    EXPECT_NE(findingsKey(rows, 0), of_blank);
}

} // namespace
} // namespace potwatch::session
