// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/exit_code.h"

#include <gtest/gtest.h>

#include <vector>

namespace potwatch::cli {
namespace {

ExitCode codeOf(const std::vector<FaultKind>& kinds) {
    std::vector<Fault> faults;
    for (const FaultKind kind : kinds) {
        faults.push_back({.kind = kind});
    }
    return exitCodeOf(faults);
}

TEST(ExitCode, dependsOnTheKindOfTheFault) {
    EXPECT_EQ(codeOf({}), ExitCode::success);
    EXPECT_EQ(codeOf({FaultKind::input}), ExitCode::input);
    EXPECT_EQ(codeOf({FaultKind::range}), ExitCode::input);
    EXPECT_EQ(codeOf({FaultKind::missing}), ExitCode::noAnswer);
    EXPECT_EQ(codeOf({FaultKind::notConverged}), ExitCode::noAnswer);
    EXPECT_EQ(codeOf({FaultKind::device}), ExitCode::deviceOrStorage);
    EXPECT_EQ(codeOf({FaultKind::storage}), ExitCode::deviceOrStorage);
    EXPECT_EQ(codeOf({FaultKind::unsupported}), ExitCode::deviceOrStorage);
    EXPECT_EQ(codeOf({FaultKind::cancelled}), ExitCode::stopped);
}

TEST(ExitCode, ofSeveralFaultsIsThatOfTheHeaviest) {
    EXPECT_EQ(codeOf({FaultKind::missing, FaultKind::input}), ExitCode::input);
    EXPECT_EQ(codeOf({FaultKind::input, FaultKind::missing}), ExitCode::input);
    EXPECT_EQ(codeOf({FaultKind::input, FaultKind::storage}), ExitCode::deviceOrStorage);
    EXPECT_EQ(codeOf({FaultKind::cancelled, FaultKind::storage}), ExitCode::stopped);
}

} // namespace
} // namespace potwatch::cli
