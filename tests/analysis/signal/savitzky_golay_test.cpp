// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/savitzky_golay.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numeric>

namespace potwatch::signal {
namespace {

using signal_tests::evenTrace;

TEST(SavitzkyGolay, weightsOfTheValueAddUpToOneAndOfTheSlopeToZero) {
    for (const double at : {0.0, 3.5, 10.0}) {
        const auto value = savitzkyGolayWeights(21, 4, 0, at);
        const auto slope = savitzkyGolayWeights(21, 4, 1, at);
        EXPECT_NEAR(std::accumulate(value.begin(), value.end(), 0.0), 1.0, 1e-12);
        EXPECT_NEAR(std::accumulate(slope.begin(), slope.end(), 0.0), 0.0, 1e-12);
    }
}

TEST(SavitzkyGolay, reproducesACubicAndItsDerivativesUpToTheEnds) {
    const auto trace = evenTrace(40, 0.5, [](double t) { return 3.0 - t + 0.5 * t * t - 0.02 * t * t * t; });
    const auto value = savitzkyGolay(trace.value, 0.5, {.points = 11, .order = 3, .derivative = 0});
    const auto slope = savitzkyGolay(trace.value, 0.5, {.points = 11, .order = 3, .derivative = 1});
    const auto curvature = savitzkyGolay(trace.value, 0.5, {.points = 11, .order = 3, .derivative = 2});
    for (std::size_t i = 0; i < trace.value.size(); ++i) {
        const double t = trace.time_s[i];
        EXPECT_NEAR(value[i], trace.value[i], 1e-11);
        EXPECT_NEAR(slope[i], -1.0 + t - 0.06 * t * t, 1e-10);
        EXPECT_NEAR(curvature[i], 1.0 - 0.12 * t, 1e-9);
    }
}

TEST(SavitzkyGolay, staysExactForWideWindows) {
    const auto trace = evenTrace(1201, 1.0, [](double t) { return 20.0 + 1e-3 * t; });
    const auto slope = savitzkyGolay(trace.value, 1.0, {.points = 801, .order = 4, .derivative = 1});
    EXPECT_NEAR(slope[600], 1e-3, 1e-12);
    EXPECT_NEAR(slope[0], 1e-3, 1e-12);
}

TEST(SavitzkyGolay, fitsOneShorterWindowWhenThereAreFewValues) {
    const std::vector<double> line{1.0, 2.0, 3.0, 4.0};
    const auto smooth = savitzkyGolay(line, 1.0, {.points = 9, .order = 2, .derivative = 0});
    for (std::size_t i = 0; i < line.size(); ++i) {
        EXPECT_NEAR(smooth[i], line[i], 1e-12);
    }
}

TEST(SavitzkyGolay, saysNothingWhereThePolynomialIsNotFixed) {
    const std::vector<double> two{1.0, 2.0};
    for (const double value : savitzkyGolay(two, 1.0, {.points = 5, .order = 2, .derivative = 0})) {
        EXPECT_TRUE(std::isnan(value));
    }
}

} // namespace
} // namespace potwatch::signal
