// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/values/uncertainty.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace potwatch {
namespace {

TEST(CoverageFactor, isTheNormalsAndTheRectangularsAtTheEnds) {
    EXPECT_NEAR(coverageFactor95(0.0, 2.0), 1.959964, 1e-6);
    EXPECT_NEAR(coverageFactor95(2.0, 0.0), 0.95 * std::sqrt(3.0), 1e-6);
}

TEST(CoverageFactor, agreesWithDrawsInBetween) {
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> flat(-std::sqrt(3.0), std::sqrt(3.0));
    std::normal_distribution<double> normal(0.0, 0.7);
    std::vector<double> size(400'000);
    for (double& one : size) {
        one = std::abs(flat(random) + normal(random));
    }
    const auto at = size.begin() + static_cast<std::ptrdiff_t>(0.95 * static_cast<double>(size.size()));
    std::nth_element(size.begin(), at, size.end());
    EXPECT_NEAR(coverageFactor95(1.0, 0.7) * std::hypot(1.0, 0.7), *at, 0.01);
}

TEST(FromDraws, hasTheSpreadAndTheQuantilesOfItsDraws) {
    std::mt19937_64 random(6);
    std::normal_distribution<double> normal(10.0, 2.0);
    std::vector<double> draws(200'000);
    std::generate(draws.begin(), draws.end(), [&] { return normal(random); });
    const Estimate estimate = fromDraws(10.1, draws);
    EXPECT_DOUBLE_EQ(estimate.value, 10.1);
    EXPECT_NEAR(estimate.u, 2.0, 0.02);
    EXPECT_NEAR(estimate.low, 10.0 - 1.959964 * 2.0, 0.05);
    EXPECT_NEAR(estimate.high, 10.0 + 1.959964 * 2.0, 0.05);
    EXPECT_DOUBLE_EQ(fromDraws(30.0, draws).high, 30.0);
}

TEST(Combine, addsInSquaresAndKeepsTheValue) {
    const std::vector<Contribution> parts{{"a", 3.0, Distribution::normal}, {"b", -4.0, Distribution::normal}};
    const Estimate estimate = combine(10.0, parts);
    EXPECT_DOUBLE_EQ(estimate.value, 10.0);
    EXPECT_DOUBLE_EQ(estimate.u, 5.0);
    EXPECT_NEAR(estimate.high - 10.0, 1.959964 * 5.0, 1e-5);
    EXPECT_NEAR(10.0 - estimate.low, estimate.high - 10.0, 1e-12);
}

TEST(Combine, ofNothingIsCertain) {
    EXPECT_EQ(combine(1.0, {}), (Estimate{1.0, 0.0, 1.0, 1.0}));
}

} // namespace
} // namespace potwatch
