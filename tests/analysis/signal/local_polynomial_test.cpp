// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/local_polynomial.h"
#include "analysis/signal/savitzky_golay.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::signal {
namespace {

using signal_tests::addNoise;
using signal_tests::constant;
using signal_tests::evenTrace;
using signal_tests::unevenTrace;

double wave(double t) {
    return 25.0 + 60.0 / (1.0 + std::exp(-(t - 20.0) / 3.0));
}

double parabola(double t) {
    return 22.0 + 0.3 * t - 0.004 * t * t;
}

TEST(LocalPolynomial, isSavitzkyGolayOnEvenSpacing) {
    auto trace = evenTrace(101, 0.1, wave);
    addNoise(trace, 0.2);
    for (int order = 1; order <= highest_order; ++order) {
        const auto fit = localPolynomial(trace.view(), constant(101, 0.8), order, Kernel::uniform);
        const auto value = savitzkyGolay(trace.value, 0.1, {.points = 17, .order = order, .derivative = 0});
        const auto slope = savitzkyGolay(trace.value, 0.1, {.points = 17, .order = order, .derivative = 1});
        for (std::size_t i = 0; i < 101; ++i) {
            EXPECT_NEAR(fit.value[i], value[i], 1e-11) << "order " << order << ", sample " << i;
            EXPECT_NEAR(fit.slope_per_s[i], slope[i], 1e-10) << "order " << order << ", sample " << i;
        }
    }
}

class LocalPolynomialKernels : public testing::TestWithParam<Kernel> {};

TEST_P(LocalPolynomialKernels, reproducesAParabolaOnUnevenSpacing) {
    const auto trace = unevenTrace(200, 0.5, parabola);
    const auto fit = localPolynomial(trace.view(), constant(200, 4.0), 2, GetParam());
    for (std::size_t i = 0; i < 200; ++i) {
        EXPECT_NEAR(fit.value[i], trace.value[i], 1e-10);
        EXPECT_NEAR(fit.slope_per_s[i], 0.3 - 0.008 * trace.time_s[i], 1e-9);
        EXPECT_NEAR(fit.curvature_per_s2[i], -0.008, 1e-8);
    }
}

TEST_P(LocalPolynomialKernels, passesOverMissingValuesAndGaps) {
    auto trace = evenTrace(300, 0.5, parabola);
    for (std::size_t i = 100; i < 160; ++i) {
        trace.value[i] = std::numeric_limits<double>::quiet_NaN();
    }
    const auto fit = localPolynomial(trace.view(), constant(300, 3.0), 2, GetParam());
    for (std::size_t i = 0; i < 300; ++i) {
        EXPECT_NEAR(fit.value[i], parabola(trace.time_s[i]), 1e-8) << i;
    }
}

TEST_P(LocalPolynomialKernels, widensWhereTheWindowHoldsTooFewValues) {
    const auto trace = evenTrace(50, 10.0, parabola);
    const auto fit = localPolynomial(trace.view(), constant(50, 0.0), 2, GetParam());
    for (std::size_t i = 0; i < 50; ++i) {
        EXPECT_NEAR(fit.value[i], trace.value[i], 1e-8);
    }
}

TEST_P(LocalPolynomialKernels, gainsAreTheScatterThatUnitNoiseCauses) {
    constexpr std::size_t repeats = 4000;
    double value_square = 0.0;
    double slope_square = 0.0;
    const std::vector<double> at_s{12.3};
    const std::vector<double> half_width_s{4.0};
    double value_gain = 0.0;
    double slope_gain = 0.0;
    for (unsigned repeat = 0; repeat < repeats; ++repeat) {
        auto trace = unevenTrace(60, 0.5, [](double) { return 0.0; });
        addNoise(trace, 1.0, repeat + 1);
        const auto fit = localPolynomialAt(trace.view(), at_s, half_width_s, 2, GetParam());
        value_square += fit.value[0] * fit.value[0];
        slope_square += fit.slope_per_s[0] * fit.slope_per_s[0];
        value_gain = fit.value_gain[0];
        slope_gain = fit.slope_gain[0];
    }
    // A standard deviation from 4000 repeats is known to 1.1 %.
    EXPECT_NEAR(std::sqrt(value_square / repeats) / value_gain, 1.0, 0.045);
    EXPECT_NEAR(std::sqrt(slope_square / repeats) / slope_gain, 1.0, 0.045);
}

TEST_P(LocalPolynomialKernels, windowsMayDifferFromSampleToSample) {
    auto trace = evenTrace(400, 0.5, wave);
    addNoise(trace, 0.1);
    std::vector<double> half_width_s(400);
    for (std::size_t i = 0; i < 400; ++i) {
        half_width_s[i] = 2.0 + 0.05 * static_cast<double>(i % 37);
    }
    const auto fit = localPolynomial(trace.view(), half_width_s, 2, GetParam());
    for (std::size_t i = 0; i < 400; i += 13) {
        const auto alone = localPolynomial(trace.view(), constant(400, half_width_s[i]), 2, GetParam());
        EXPECT_NEAR(fit.value[i], alone.value[i], 1e-10);
        EXPECT_NEAR(fit.slope_gain[i], alone.slope_gain[i], 1e-10);
    }
}

INSTANTIATE_TEST_SUITE_P(Both, LocalPolynomialKernels, testing::Values(Kernel::uniform, Kernel::tricube),
                         [](const auto& kernel) { return kernel.param == Kernel::uniform ? "uniform" : "tricube"; });

TEST(LocalPolynomial, weighsTheMiddleMoreWithTheTricube) {
    // A lone bump: the nearer samples count more, so that less of it is lost.
    const auto trace = evenTrace(101, 0.5, [](double t) { return std::exp(-0.5 * (t - 25.0) * (t - 25.0) / 16.0); });
    const auto flat = localPolynomial(trace.view(), constant(101, 8.0), 2, Kernel::uniform);
    const auto bell = localPolynomial(trace.view(), constant(101, 8.0), 2, Kernel::tricube);
    EXPECT_GT(bell.value[50], flat.value[50]);
    EXPECT_LT(bell.value[50], 1.0);
    EXPECT_GT(bell.value_gain[50], flat.value_gain[50]);
}

TEST(LocalPolynomial, evaluatesBetweenSamplesButNotBeyondThem) {
    const auto trace = evenTrace(100, 1.0, parabola);
    const std::vector<double> at_s{-0.5, 0.25, 50.5, 98.9, 99.5};
    const auto fit = localPolynomialAt(trace.view(), at_s, constant(5, 6.0), 2, Kernel::tricube);
    EXPECT_TRUE(std::isnan(fit.value[0]));
    EXPECT_NEAR(fit.value[1], parabola(0.25), 1e-10);
    EXPECT_NEAR(fit.value[2], parabola(50.5), 1e-10);
    EXPECT_NEAR(fit.slope_per_s[3], 0.3 - 0.008 * 98.9, 1e-10);
    EXPECT_TRUE(std::isnan(fit.value[4]));
}

TEST(LocalPolynomial, saysNothingOfTooFewValues) {
    const auto trace = evenTrace(3, 1.0, parabola);
    const auto fit = localPolynomial(trace.view(), constant(3, 5.0), 2, Kernel::uniform);
    EXPECT_TRUE(std::isnan(fit.value[1]));
    EXPECT_TRUE(localPolynomial({}, {}, 2, Kernel::uniform).value.empty());
}

TEST(LocalPolynomial, keepsDigitsOnALargeOffset) {
    const auto trace = unevenTrace(100, 0.5, [](double t) { return 1e6 + 1e-3 * t; });
    const auto fit = localPolynomial(trace.view(), constant(100, 5.0), 2, Kernel::uniform);
    EXPECT_NEAR(fit.slope_per_s[50], 1e-3, 1e-9);
}

} // namespace
} // namespace potwatch::signal
