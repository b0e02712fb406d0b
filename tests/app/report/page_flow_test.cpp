// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/page_flow.h"

#include <gtest/gtest.h>

namespace potwatch::report {
namespace {

Strip strip(double height, bool keep_with_next = false) {
    Strip made;
    made.height = height;
    made.keep_with_next = keep_with_next;
    return made;
}

Strip rowOf(int table, double height, bool head = false) {
    Strip made = strip(height, head);
    made.table = table;
    return made;
}

// The strips of each page by their number.
std::vector<std::vector<std::size_t>> numbers(const std::vector<Strip>& strips, double page_height) {
    std::vector<std::vector<std::size_t>> pages;
    for (const auto& page : pagesOf(strips, page_height)) {
        pages.emplace_back();
        for (const PlacedStrip& placed : page) {
            pages.back().push_back(placed.strip);
        }
    }
    return pages;
}

using Pages = std::vector<std::vector<std::size_t>>;

TEST(PageFlow, fillsAPageAndGoesOn) {
    EXPECT_EQ(numbers({strip(40), strip(40), strip(40)}, 100.0), (Pages{{0, 1}, {2}}));
}

TEST(PageFlow, takesAHeadingToThePageOfWhatFollows) {
    EXPECT_EQ(numbers({strip(80), strip(15, true), strip(40)}, 100.0), (Pages{{0}, {1, 2}}));
}

TEST(PageFlow, repeatsTheHeadOfATableOnEachPage) {
    EXPECT_EQ(numbers({rowOf(0, 10, true), rowOf(0, 50), rowOf(0, 50), rowOf(0, 50)}, 100.0),
              (Pages{{0, 1}, {0, 2}, {0, 3}}));
}

TEST(PageFlow, doesNotMixTheHeadsOfTwoTables) {
    EXPECT_EQ(numbers({rowOf(0, 10, true), rowOf(0, 10), rowOf(1, 10, true), rowOf(1, 60), rowOf(1, 60)}, 100.0),
              (Pages{{0, 1, 2, 3}, {2, 4}}));
}

TEST(PageFlow, startsAPageWhereAsked) {
    std::vector<Strip> strips{strip(10), strip(10)};
    strips.back().on_new_page = true;
    EXPECT_EQ(numbers(strips, 100.0), (Pages{{0}, {1}}));
}

TEST(PageFlow, endsEvenWithAStripHigherThanAPage) {
    EXPECT_EQ(numbers({strip(10, true), strip(500), strip(10)}, 100.0), (Pages{{0}, {1}, {2}}));
}

TEST(PageFlow, leavesOutTheSpaceAtThePagesTop) {
    std::vector<Strip> strips{strip(90), strip(20)};
    strips.back().space_before = 30.0;
    EXPECT_EQ(pagesOf(strips, 100.0).at(1).front().top, 0.0);
}

} // namespace
} // namespace potwatch::report
