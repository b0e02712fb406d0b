// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/settle.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::signal {
namespace {

using testing::ElementsAre;

constexpr double missing = std::numeric_limits<double>::quiet_NaN();

Settled settled(const std::vector<double>& time_s, const std::vector<double>& value) {
    return settle({time_s, value});
}

TEST(Settle, leavesAnAscendingTraceAsItIs) {
    const auto result = settled({0.0, 0.5, 1.0}, {20.0, 21.0, 22.0});
    EXPECT_EQ(result, (Settled{.time_s = {0.0, 0.5, 1.0}, .value = {20.0, 21.0, 22.0}}));
}

TEST(Settle, putsBackwardTimesInOrderAndCountsThem) {
    const auto result = settled({0.0, 2.0, 1.0, 3.0, 2.5}, {20.0, 22.0, 21.0, 23.0, 22.5});
    EXPECT_THAT(result.time_s, ElementsAre(0.0, 1.0, 2.0, 2.5, 3.0));
    EXPECT_THAT(result.value, ElementsAre(20.0, 21.0, 22.0, 22.5, 23.0));
    EXPECT_EQ(result.stepped_back, 2U);
}

TEST(Settle, averagesRepeatedTimesAndCountsThem) {
    const auto result = settled({0.0, 1.0, 1.0, 1.0, 2.0}, {20.0, 21.0, 22.0, 26.0, 24.0});
    EXPECT_THAT(result.time_s, ElementsAre(0.0, 1.0, 2.0));
    EXPECT_THAT(result.value, ElementsAre(20.0, 23.0, 24.0));
    EXPECT_EQ(result.repeated, 2U);
}

TEST(Settle, averagesOnlyWhatIsKnown) {
    const auto result = settled({0.0, 0.0, 1.0, 1.0}, {missing, 20.0, missing, missing});
    EXPECT_EQ(result.value[0], 20.0);
    EXPECT_TRUE(std::isnan(result.value[1]));
}

TEST(Settle, leavesOutSamplesWithoutATime) {
    const auto result = settled({0.0, missing, 1.0}, {20.0, 99.0, 21.0});
    EXPECT_THAT(result.value, ElementsAre(20.0, 21.0));
    EXPECT_EQ(result.without_time, 1U);
}

TEST(Settle, keepsChannelsOfOneRunAligned) {
    const std::vector<double> time_s{0.0, 2.0, 1.0, 1.0};
    const auto pot = settled(time_s, {20.0, 22.0, missing, missing});
    const auto air = settled(time_s, {19.0, missing, 19.0, 19.0});
    EXPECT_EQ(pot.time_s, air.time_s);
}

} // namespace
} // namespace potwatch::signal
