// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/output_names.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace potwatch::cli {
namespace {

using Names = std::vector<std::string>;

TEST(OutputNames, putTheRunBehindTheNameAskedFor) {
    EXPECT_EQ(namesForRuns("plots/out.svg", Names{"rod 03", "rod 04"}),
              (Names{"plots/out-rod-03.svg", "plots/out-rod-04.svg"}));
}

TEST(OutputNames, tellRunsOfOneNameApart) {
    EXPECT_EQ(namesForRuns("o.csv", Names{"rod", "rod", "rod"}), (Names{"o-rod.csv", "o-rod-2.csv", "o-rod-3.csv"}));
}

TEST(OutputNames, neverLeaveTheFolder) {
    EXPECT_EQ(asFileName("../../etc/passwd"), "..-..-etc-passwd");
    EXPECT_EQ(asFileName("a/b\\c:d\n"), "a-b-c-d");
    EXPECT_EQ(asFileName("///"), "run");
}

TEST(OutputNames, keepLettersOfEveryScript) {
    EXPECT_EQ(asFileName("Stab 3 Grün"), "Stab-3-Grün");
}

TEST(OutputNames, endingIsInLowerCase) {
    EXPECT_EQ(endingOf("A.SVG"), ".svg");
    EXPECT_EQ(endingOf("folder.d/none"), "");
}

} // namespace
} // namespace potwatch::cli
