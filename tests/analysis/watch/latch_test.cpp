// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/latch.h"

#include <gtest/gtest.h>

namespace potwatch::watch {
namespace {

TEST(Latch, standsOnlyOnceItsConditionHasHeld) {
    Latch latch(2.0, 10.0);
    EXPECT_FALSE(latch.update(0.0, true, true));
    EXPECT_FALSE(latch.update(1.0, false, true)); // a moment's doubt begins the wait anew
    EXPECT_FALSE(latch.update(2.5, true, true));
    EXPECT_FALSE(latch.update(4.0, true, true));
    EXPECT_TRUE(latch.update(4.5, true, true));
}

TEST(Latch, staysBetweenItsTwoThresholds) {
    Latch latch(0.0, 10.0);
    EXPECT_TRUE(latch.update(0.0, true, true));
    for (double t = 1.0; t < 100.0; t += 1.0) {
        EXPECT_TRUE(latch.update(t, false, true)) << t;
    }
}

TEST(Latch, fallsOnceItHasFailedForLong) {
    Latch latch(0.0, 10.0);
    EXPECT_TRUE(latch.update(0.0, true, true));
    EXPECT_TRUE(latch.update(1.0, false, false));
    EXPECT_TRUE(latch.update(10.0, false, false));
    EXPECT_FALSE(latch.update(11.0, false, false));
}

} // namespace
} // namespace potwatch::watch
