// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/live_trace.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

namespace potwatch::window {
namespace {

TEST(LiveTrace, keepsEveryReadingOfAShortRun) {
    LiveTrace trace;
    trace.add(0.0, 20.0);
    trace.add(1.0, std::numeric_limits<double>::quiet_NaN());
    trace.add(2.0, 25.0);
    ASSERT_EQ(trace.stretches().size(), 3U);
    EXPECT_EQ(trace.stretches()[1].scans, 0U) << "a gap";
    EXPECT_EQ(trace.stretches()[2].low, 25.0);
}

TEST(LiveTrace, staysSmallAndKeepsThePeaksOfALongRun) {
    LiveTrace trace;
    constexpr std::size_t scans = 1'000'000;
    for (std::size_t i = 0; i < scans; ++i) {
        trace.add(static_cast<double>(i), i == 700'001 ? 99.0 : i == 3 ? -5.0 : 20.0);
    }
    EXPECT_LE(trace.stretches().size(), LiveTrace::most_stretches);
    EXPECT_GE(trace.stretches().size(), LiveTrace::most_stretches / 2);
    std::size_t counted = 0;
    double low = 20.0;
    double high = 20.0;
    double before_s = -1.0;
    for (const LiveTrace::Stretch& stretch : trace.stretches()) {
        EXPECT_GT(stretch.from_s, before_s);
        EXPECT_LE(stretch.from_s, stretch.to_s);
        before_s = stretch.to_s;
        counted += stretch.scans;
        low = std::min(low, stretch.low);
        high = std::max(high, stretch.high);
    }
    EXPECT_EQ(counted, scans);
    EXPECT_EQ(low, -5.0);
    EXPECT_EQ(high, 99.0);
}

} // namespace
} // namespace potwatch::window
