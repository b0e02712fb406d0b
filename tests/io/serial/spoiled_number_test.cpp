// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/spoiled_number.h"

#include <gtest/gtest.h>

#include <limits>

namespace potwatch::serial {
namespace {

TEST(SpoiledNumber, isOneThatLostOrWonDigitsAtItsFront) {
    EXPECT_TRUE(looksSpoiled(23.45, 3.45));
    EXPECT_TRUE(looksSpoiled(123.45, 23.5));
    EXPECT_TRUE(looksSpoiled(101.3, 1.3));
    EXPECT_TRUE(looksSpoiled(19.98, 0.01)) << "of 20.01";
    EXPECT_TRUE(looksSpoiled(20.01, 9.98)) << "of 19.98";
    EXPECT_TRUE(looksSpoiled(23.45, 2323.45));
    EXPECT_TRUE(looksSpoiled(23.45, 123.45));
    EXPECT_TRUE(looksSpoiled(-23.45, 23.45));
}

TEST(SpoiledNumber, isNoReadingAsTheyFollowEachOther) {
    EXPECT_FALSE(looksSpoiled(23.45, 23.95));
    EXPECT_FALSE(looksSpoiled(9.9, 10.1));
    EXPECT_FALSE(looksSpoiled(99.9, 100.2));
    EXPECT_FALSE(looksSpoiled(0.4, -0.4));
    EXPECT_FALSE(looksSpoiled(23.45, 173.45)) << "a spike is what the device says";
    EXPECT_FALSE(looksSpoiled(25.0, 95.0)) << "a probe put into hot water";
    EXPECT_FALSE(looksSpoiled(std::numeric_limits<double>::quiet_NaN(), 3.45));
    EXPECT_FALSE(looksSpoiled(23.45, std::numeric_limits<double>::quiet_NaN()));
}

} // namespace
} // namespace potwatch::serial
