// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/hampel.h"
#include "analysis/signal/local_polynomial.h"
#include "analysis/signal/noise.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::law {
namespace {

using signal::Kernel;
using signal::localPolynomial;
using signal_tests::addNoise;
using signal_tests::constant;
using signal_tests::Trace;
using signal_tests::unevenTrace;

constexpr std::size_t count = 400;

Trace noisyCure() {
    auto trace = unevenTrace(count, 0.5, [](double t) { return 22.0 + 60.0 / (1.0 + std::exp(-(t - 90.0) / 8.0)); });
    addNoise(trace, 0.1);
    return trace;
}

class Kernels : public testing::TestWithParam<Kernel> {};

TEST_P(Kernels, slopeFallsAsTheTimeIsStretched) {
    const Trace trace = noisyCure();
    Trace slow = trace;
    for (double& time_s : slow.time_s) {
        time_s *= 3.0;
    }
    const auto fit = localPolynomial(trace.view(), constant(count, 5.0), 2, GetParam());
    const auto slow_fit = localPolynomial(slow.view(), constant(count, 15.0), 2, GetParam());
    for (std::size_t i = 0; i < count; ++i) {
        EXPECT_NEAR(slow_fit.value[i], fit.value[i], 1e-9);
        EXPECT_NEAR(3.0 * slow_fit.slope_per_s[i], fit.slope_per_s[i], 1e-9);
        EXPECT_NEAR(9.0 * slow_fit.curvature_per_s2[i], fit.curvature_per_s2[i], 1e-8);
        EXPECT_NEAR(3.0 * slow_fit.slope_gain[i], fit.slope_gain[i], 1e-9);
    }
}

TEST_P(Kernels, fitIsLinearInTheReadings) {
    const Trace trace = noisyCure();
    Trace fahrenheit = trace;
    for (double& value : fahrenheit.value) {
        value = 32.0 + 1.8 * value;
    }
    const auto fit = localPolynomial(trace.view(), constant(count, 5.0), 3, GetParam());
    const auto other = localPolynomial(fahrenheit.view(), constant(count, 5.0), 3, GetParam());
    for (std::size_t i = 0; i < count; ++i) {
        EXPECT_NEAR(other.value[i], 32.0 + 1.8 * fit.value[i], 1e-9);
        EXPECT_NEAR(other.slope_per_s[i], 1.8 * fit.slope_per_s[i], 1e-9);
    }
}

TEST_P(Kernels, fitDoesNotCareWhenTheClockStarted) {
    const Trace trace = noisyCure();
    Trace later = trace;
    for (double& time_s : later.time_s) {
        time_s += 86400.0;
    }
    const auto fit = localPolynomial(trace.view(), constant(count, 5.0), 2, GetParam());
    const auto other = localPolynomial(later.view(), constant(count, 5.0), 2, GetParam());
    for (std::size_t i = 0; i < count; ++i) {
        EXPECT_NEAR(other.value[i], fit.value[i], 1e-6);
        EXPECT_NEAR(other.slope_per_s[i], fit.slope_per_s[i], 1e-6);
    }
}

INSTANTIATE_TEST_SUITE_P(Law, Kernels, testing::Values(Kernel::uniform, Kernel::tricube),
                         [](const auto& kernel) { return kernel.param == Kernel::uniform ? "uniform" : "tricube"; });

TEST(Noise, scalesWithTheUnit) {
    Trace trace = noisyCure();
    const double kelvin = signal::noiseStandardDeviation(trace.view());
    for (double& value : trace.value) {
        value = 32.0 + 1.8 * value;
    }
    EXPECT_NEAR(signal::noiseStandardDeviation(trace.view()), 1.8 * kelvin, 1e-9);
}

TEST(Spikes, areTheSameInAnyUnit) {
    Trace trace = noisyCure();
    trace.value[50] += 5.0;
    trace.value[300] -= 5.0;
    const auto celsius = signal::spikes(trace.view(), {});
    for (double& value : trace.value) {
        value = 32.0 + 1.8 * value;
    }
    EXPECT_EQ(celsius.size(), 2U);
    EXPECT_EQ(signal::spikes(trace.view(), {}), celsius);
}

} // namespace
} // namespace potwatch::law
