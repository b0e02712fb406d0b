// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/axis.h"

#include <gtest/gtest.h>

namespace potwatch::report {
namespace {

TEST(RoundStep, isOneTwoOrFiveTimesAPowerOfTen) {
    EXPECT_DOUBLE_EQ(roundStep({.low = 18.0, .high = 104.0}, 6), 20.0);
    EXPECT_DOUBLE_EQ(roundStep({.low = 0.0, .high = 1.0}, 6), 0.2);
    EXPECT_DOUBLE_EQ(roundStep({.low = 0.0, .high = 3.1e-4}, 4), 2e-4);
}

TEST(RoundStep, neverGivesMoreTicksThanAsked) {
    for (double width = 0.0123; width < 1e6; width *= 1.37) {
        for (int most = 3; most < 12; ++most) {
            const Range range{.low = -0.3 * width, .high = 0.7 * width};
            EXPECT_LE(ticks(range, roundStep(range, most)).size(), static_cast<std::size_t>(most));
        }
    }
}

TEST(Ticks, areTheMultiplesWithinTheRange) {
    EXPECT_EQ(ticks({.low = -1.0, .high = 41.0}, 20.0), (std::vector<double>{0.0, 20.0, 40.0}));
    EXPECT_EQ(ticks({.low = 0.0, .high = 0.3}, 0.1).size(), 4U); // 0.1 * 3 is a little over 0.3
}

TEST(Ticks, endEvenWhereTheStepIsLostInTheValue) {
    EXPECT_LE(ticks({.low = 1e300, .high = 2e300}, 1.0).size(), 1001U);
}

TEST(DecimalsOfStep, showEveryMultiple) {
    EXPECT_EQ(decimalsOfStep(20.0), 0);
    EXPECT_EQ(decimalsOfStep(0.5), 1);
    EXPECT_EQ(decimalsOfStep(0.1), 1);
    EXPECT_EQ(decimalsOfStep(0.02), 2);
}

TEST(TimeAxis, countsSecondsUpToTenMinutesThenMinutesThenHours) {
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 600.0}, 9).unit, "s");
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 601.0}, 9).unit, "min");
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 10800.0}, 9).unit, "min");
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 10801.0}, 9).unit, "h");
}

TEST(TimeAxis, stepsAsAClockDoes) {
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 240.0}, 9).step_s, 30.0);
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 7200.0}, 9).step_s, 15.0 * 60.0);
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 86400.0}, 9).step_s, 3.0 * 3600.0);
    EXPECT_EQ(timeAxis({.low = 0.0, .high = 4e6}, 9).step_s, 200.0 * 3600.0);
}

} // namespace
} // namespace potwatch::report
