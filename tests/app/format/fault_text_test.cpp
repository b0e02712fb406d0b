// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/fault_text.h"

#include <gtest/gtest.h>

namespace potwatch::format {
namespace {

TEST(FaultText, isPlainSentencesWithoutTheFile) {
    EXPECT_EQ(faultText({.kind = FaultKind::missing,
                         .what = "only 3 usable readings",
                         .where = {.file = "/dev/ttyUSB0", .channel = "t1"},
                         .remedy = "record for longer"}),
              "Channel t1: only 3 usable readings. Record for longer.");
}

TEST(FaultText, addsNothingThatIsNotThere) {
    EXPECT_EQ(faultText({.what = "nothing came.", .where = {.file = "a.csv"}}), "Nothing came.");
    EXPECT_EQ(faultText({.what = "°F is no unit here", .remedy = "Give another"}), "°F is no unit here. Give another.");
}

} // namespace
} // namespace potwatch::format
