// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/batch/nearest.h"

#include <gtest/gtest.h>

#include <vector>

namespace potwatch::batch {
namespace {

TEST(Nearest, countsEdits) {
    EXPECT_EQ(editDistance("", ""), 0U);
    EXPECT_EQ(editDistance("lag_s", ""), 5U);
    EXPECT_EQ(editDistance("lag_s", "lag_s"), 0U);
    EXPECT_EQ(editDistance("lag_s", "lagg_s"), 1U);
    EXPECT_EQ(editDistance("lag_s", "alg_s"), 1U);
    EXPECT_EQ(editDistance("LAG_S", "lag_s"), 0U);
    EXPECT_EQ(editDistance("kitten", "sitting"), 3U); // the usual example, from memory
}

TEST(Nearest, findsTheWordThatWasMeant) {
    const std::vector<std::string> words{"resin_g", "water_g", "boiling_c"};
    EXPECT_EQ(nearest("wter_g", words), 1U);
    EXPECT_EQ(nearest("boiling", words), 2U);
    EXPECT_EQ(nearest("colour", words), std::nullopt);
    EXPECT_EQ(nearest("", words), std::nullopt);
    EXPECT_EQ(nearest(std::string(1000, 'x'), words), std::nullopt);
}

} // namespace
} // namespace potwatch::batch
