// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/degree.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::cure {
namespace {

TEST(Degree, isReleasedHeatOverTheReference) {
    const Estimate degree =
        degreeOf({.value_j = 100.0, .u_j = 3.0}, {.heat_j = 200.0, .u_j = 10.0, .start_degree = 0.1});
    EXPECT_DOUBLE_EQ(degree.value, 0.6);
    EXPECT_NEAR(degree.u, std::hypot(3.0, 0.5 * 10.0) / 200.0, 1e-15);
}

TEST(Degree, intervalStaysWithinWhatADegreeCanBe) {
    const Estimate early = degreeOf({.value_j = 1.0, .u_j = 5.0}, {.heat_j = 200.0});
    EXPECT_DOUBLE_EQ(early.low, 0.0);
    const Estimate late = degreeOf({.value_j = 198.0, .u_j = 10.0}, {.heat_j = 200.0});
    EXPECT_DOUBLE_EQ(late.high, 1.0);
    const Estimate over = degreeOf({.value_j = 210.0, .u_j = 1.0}, {.heat_j = 200.0});
    EXPECT_DOUBLE_EQ(over.value, 1.0);
    EXPECT_DOUBLE_EQ(over.low, 1.0);
    EXPECT_DOUBLE_EQ(over.high, 1.0);
}

TEST(Degree, beforeASecondHeatingIsWhatWasNotLeft) {
    EXPECT_DOUBLE_EQ(degreeBeforeSecondHeating({.value_j = 20.0, .u_j = 1.0}, {.heat_j = 200.0}).value, 0.9);
}

TEST(Stage, followsTheDegreeUntilASolventTestSaysOtherwise) {
    const CureReference known{.gel_degree = 0.55};
    EXPECT_EQ(stageOf(normalEstimate(0.3, 0.01), known, {}), "A");
    EXPECT_EQ(stageOf(normalEstimate(0.7, 0.01), known, {}), "B");
    EXPECT_EQ(stageOf(normalEstimate(0.97, 0.01), known, {}), "C");
    EXPECT_EQ(stageOf(normalEstimate(0.97, 0.01), known, {.solvent_test = SolventTest::swells}), "B");
}

TEST(Stage, isNotGuessedWithoutAGelPoint) {
    EXPECT_EQ(stageOf(normalEstimate(0.7, 0.01), {}, {}), "");
}

} // namespace
} // namespace potwatch::cure
