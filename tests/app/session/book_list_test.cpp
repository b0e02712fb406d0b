// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_list.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::session {
namespace {

using testing::ElementsAre;

constexpr std::int64_t day_us = 86'400'000'000;

ListedRun run(const std::string& name, const std::string& based_on = {}, double rate_g_per_min = 0.5, int day = 0) {
    ListedRun listed;
    listed.row.id = name;
    listed.row.name = name;
    listed.row.started = WallTime{.utc_us = day * day_us, .offset_s = 3600};
    listed.row.notes.batch.name = name;
    listed.row.notes.batch.based_on = based_on;
    listed.row.notes.batch.dose = Dose{.rate_g_per_min = rate_g_per_min};
    return listed;
}

std::vector<std::string> shown(const std::vector<BookLine>& lines) {
    std::vector<std::string> texts;
    for (const BookLine& line : lines) {
        texts.push_back(std::string(static_cast<std::size_t>(line.depth), '>') + line.name +
                        (line.change.empty() ? "" : ": " + line.change));
    }
    return texts;
}

TEST(BookList, putsARunUnderTheOneItIsBasedOnWithWhatItChanged) {
    const std::vector<ListedRun> runs{run("rod 01", {}, 0.5, 1), run("other", {}, 0.5, 2),
                                      run("rod 02", "rod 01", 0.3, 3)};
    EXPECT_THAT(shown(bookLines(runs, {})), ElementsAre("rod 01", ">rod 02: 0.5 to 0.3 g/min", "other"));
}

TEST(BookList, keepsAChainAtOneStepAndIndentsBranches) {
    const std::vector<ListedRun> runs{run("a", {}, 1, 1),  run("b", "a", 2, 2),  run("c", "b", 3, 3),
                                      run("d", "c", 4, 4), run("e1", "d", 5, 5), run("e2", "d", 6, 6)};
    EXPECT_THAT(shown(bookLines(runs, {})), ElementsAre("a", ">b: 1 to 2 g/min", ">c: 2 to 3 g/min", ">d: 3 to 4 g/min",
                                                        ">>e1: 4 to 5 g/min", ">>e2: 4 to 6 g/min"));
}

TEST(BookList, listsRunsThatAreBasedOnEachOtherOnce) {
    const std::vector<ListedRun> runs{run("a", "b", 1, 1), run("b", "a", 1, 2), run("c", "c", 1, 3)};
    EXPECT_EQ(bookLines(runs, {}).size(), 3U);
}

TEST(BookList, leavesOutWhatIsWithdrawn) {
    std::vector<ListedRun> runs{run("a"), run("b", "a")};
    runs[0].row.withdrawn = true;
    EXPECT_THAT(shown(bookLines(runs, {})), ElementsAre("b"));
}

TEST(BookList, takesTheLatestEarlierRunWhereANameIsNotUnique) {
    const std::vector<ListedRun> runs{run("a", {}, 1, 1), run("a", {}, 2, 2), run("b", "a", 3, 3), run("a", {}, 4, 4)};
    EXPECT_EQ(parentOf(runs, 2), std::optional<std::size_t>(1));
}

TEST(BookList, sortsNamesByTheirNumbers) {
    const std::vector<ListedRun> runs{run("rod 10"), run("rod 9"), run("Rod 1")};
    EXPECT_THAT(shown(bookLines(runs, {.sort = SortKey::name})), ElementsAre("Rod 1", "rod 9", "rod 10"));
    EXPECT_THAT(shown(bookLines(runs, {.sort = SortKey::name, .descending = true})),
                ElementsAre("rod 10", "rod 9", "Rod 1"));
}

TEST(BookList, sortsByPeakWithTheUnknownLast) {
    std::vector<ListedRun> runs{run("none"), run("cool"), run("hot")};
    runs[1].peak_c = Estimate{.value = 60.0, .u = 0.1, .low = 59.8, .high = 60.2};
    runs[2].peak_c = Estimate{.value = 101.0, .u = 0.1, .low = 100.8, .high = 101.2};
    EXPECT_THAT(shown(bookLines(runs, {.sort = SortKey::peak, .descending = true})),
                ElementsAre("hot", "cool", "none"));
    EXPECT_THAT(shown(bookLines(runs, {.sort = SortKey::peak})), ElementsAre("cool", "hot", "none"));
}

TEST(BookList, findsAllWordsWhereverTheyStand) {
    std::vector<ListedRun> runs{run("rod 01"), run("rod 02"), run("plate")};
    runs[1].row.notes.batch.notes = "Stirrer at 300 rpm";
    runs[1].row.notes.tags = {"keep"};
    EXPECT_THAT(shown(bookLines(runs, {.search = "rod STIRRER"})), ElementsAre("rod 02"));
    EXPECT_THAT(shown(bookLines(runs, {.search = "keep"})), ElementsAre("rod 02"));
    EXPECT_THAT(shown(bookLines(runs, {.tag = "keep"})), ElementsAre("rod 02"));
    EXPECT_TRUE(bookLines(runs, {.search = "rod nowhere"}).empty());
}

TEST(BookList, readsPeakAndBoilingOutOfTheFindings) {
    book::RunRow row;
    row.findings = R"({"landmarks":{"peak":{"temperature_c":{"value":96.5,"u":0.1,"low":96.3,"high":96.7}},)"
                   R"("boil_plateau":{"start_s":1,"end_s":2,"temperature_c":100}}})";
    const ListedRun listed = listedRun(row);
    ASSERT_TRUE(listed.peak_c);
    EXPECT_EQ(listed.peak_c->value, 96.5);
    EXPECT_TRUE(listed.boiled);
    for (const char* const odd :
         {"", "{", "[]", R"({"landmarks":null})", R"({"landmarks":{"peak":{"temperature_c":1}}})"}) {
        row.findings = odd;
        EXPECT_FALSE(listedRun(row).peak_c) << odd;
    }
}

TEST(BookList, saysDayAndOutcome) {
    EXPECT_EQ(dayText({.utc_us = 1'772'442'000'000'000, .offset_s = 3600}), "2 Mar 2026");
    EXPECT_EQ(dayText({.utc_us = 1'772'494'200'000'000, .offset_s = 3600}), "3 Mar 2026") << "the clock beside the pot";
    EXPECT_EQ(outcomeText({}), "");
    EXPECT_EQ(outcomeText({.void_percent = 6.84, .foam = Foam::edge}), "foam at the edge, 6.8 % voids");
}

TEST(BookList, collectsTheTags) {
    std::vector<ListedRun> runs{run("a"), run("b"), run("c")};
    runs[0].row.notes.tags = {"keep", "good"};
    runs[1].row.notes.tags = {"keep"};
    runs[2].row.notes.tags = {"gone"};
    runs[2].row.withdrawn = true;
    EXPECT_THAT(tagsOf(runs), ElementsAre("good", "keep"));
}

} // namespace
} // namespace potwatch::session
