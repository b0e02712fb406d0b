// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/values/fault.h"

#include <gtest/gtest.h>

namespace potwatch {
namespace {

TEST(Fault, isOneLineWithPlaceWhatAndRemedy) {
    const Fault fault{
        .what = "not a number", .where = {.file = "run.csv", .line = 12, .column = 3}, .remedy = "mend it"};
    EXPECT_EQ(describe(fault), "run.csv:12:3: not a number; mend it");
}

TEST(Fault, leavesOutWhatItDoesNotKnow) {
    EXPECT_EQ(describe({.what = "it failed"}), "it failed");
    EXPECT_EQ(describe({.what = "too short", .where = {.file = "a.csv", .channel = "pot_c"}}),
              "a.csv: channel pot_c: too short");
}

TEST(Fault, everyKindHasAName) {
    for (const FaultKind kind : {FaultKind::input, FaultKind::range, FaultKind::missing, FaultKind::notConverged,
                                 FaultKind::device, FaultKind::storage, FaultKind::cancelled, FaultKind::unsupported}) {
        EXPECT_FALSE(nameOf(kind).empty());
    }
}

} // namespace
} // namespace potwatch
