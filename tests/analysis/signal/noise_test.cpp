// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/noise.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::signal {
namespace {

using signal_tests::addNoise;
using signal_tests::evenTrace;
using signal_tests::roundTo;
using signal_tests::unevenTrace;

double slope(double t) {
    return 22.0 + 0.05 * t;
}

TEST(Noise, isFoundOnASlopeWithEvenAndUnevenSpacing) {
    auto even = evenTrace(10000, 0.5, slope);
    auto uneven = unevenTrace(10000, 0.5, slope);
    addNoise(even, 0.12);
    addNoise(uneven, 0.12);
    EXPECT_NEAR(noiseStandardDeviation(even.view()), 0.12, 0.004);
    EXPECT_NEAR(noiseStandardDeviation(uneven.view()), 0.12, 0.004);
}

TEST(Noise, takesRoundingIn) {
    auto trace = evenTrace(10000, 0.5, slope);
    addNoise(trace, 0.12);
    roundTo(trace, 0.25);
    EXPECT_NEAR(noiseStandardDeviation(trace.view()), std::hypot(0.12, 0.25 / std::sqrt(12.0)), 0.006);
}

TEST(Noise, isNotMovedByAFewSpikes) {
    auto trace = evenTrace(5000, 0.5, slope);
    addNoise(trace, 0.1);
    for (std::size_t i = 25; i < 5000; i += 100) {
        trace.value[i] += 50.0;
    }
    EXPECT_NEAR(noiseStandardDeviation(trace.view()), 0.1, 0.005);
}

TEST(Noise, isNoughtOnALineAndOnTooFewValues) {
    EXPECT_NEAR(noiseStandardDeviation(evenTrace(100, 0.5, slope).view()), 0.0, 1e-12);
    EXPECT_EQ(noiseStandardDeviation(evenTrace(2, 0.5, slope).view()), 0.0);
    EXPECT_EQ(noiseStandardDeviation({}), 0.0);
}

TEST(Noise, skipsMissingValues) {
    auto trace = evenTrace(4000, 0.5, slope);
    addNoise(trace, 0.2);
    for (std::size_t i = 0; i < 4000; i += 5) {
        trace.value[i] = std::numeric_limits<double>::quiet_NaN();
    }
    EXPECT_NEAR(noiseStandardDeviation(trace.view()), 0.2, 0.01);
}

class QuantisationSteps : public testing::TestWithParam<double> {};

TEST_P(QuantisationSteps, areFoundInSteppedReadings) {
    auto trace = evenTrace(4000, 0.5, slope);
    addNoise(trace, 0.12);
    roundTo(trace, GetParam());
    EXPECT_NEAR(quantisationStep(trace.value), GetParam(), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Quantisation, QuantisationSteps, testing::Values(0.01, 0.0625, 0.1, 0.25, 0.5, 1.0));

TEST(QuantisationStep, isNoneForUnroundedValues) {
    auto trace = evenTrace(4000, 0.5, slope);
    addNoise(trace, 0.12);
    EXPECT_EQ(quantisationStep(trace.value), 0.0);
    EXPECT_EQ(quantisationStep(std::vector<double>(100, 22.0)), 0.0);
    EXPECT_EQ(quantisationStep({}), 0.0);
}

TEST(QuantisationStep, isNotMovedByAFewAverages) {
    auto trace = evenTrace(4000, 0.5, slope);
    addNoise(trace, 0.12);
    roundTo(trace, 0.25);
    trace.value[100] += 0.25 / 3.0;
    trace.value[900] += 0.1;
    EXPECT_NEAR(quantisationStep(trace.value), 0.25, 1e-9);
}

TEST(QuantisationStep, isCommonToMovesOfSeveralSteps) {
    std::vector<double> values;
    for (int i = 0; i < 50; ++i) {
        values.push_back(20.0 + (i % 2 == 0 ? 0.75 : 0.0) + (i % 3 == 0 ? 0.5 : 0.0));
    }
    EXPECT_NEAR(quantisationStep(values), 0.25, 1e-9);
}

TEST(AutocorrelationFactor, isOneForWhiteNoise) {
    auto trace = evenTrace(20000, 1.0, [](double) { return 0.0; });
    addNoise(trace, 1.0);
    EXPECT_NEAR(autocorrelationFactor(trace.value), 1.0, 0.12);
}

TEST(AutocorrelationFactor, isThatOfAFirstOrderProcess) {
    // x[i] = 0.8 x[i-1] + e: the factor is (1 + 0.8) / (1 - 0.8) = 9.
    auto trace = evenTrace(400000, 1.0, [](double) { return 0.0; });
    addNoise(trace, 1.0);
    for (std::size_t i = 1; i < trace.value.size(); ++i) {
        trace.value[i] += 0.8 * trace.value[i - 1];
    }
    EXPECT_NEAR(autocorrelationFactor(trace.value), 9.0, 0.8); // four standard deviations of the estimate
}

TEST(AutocorrelationFactor, isOneWhereNothingCanBeSaid) {
    EXPECT_EQ(autocorrelationFactor({}), 1.0);
    EXPECT_EQ(autocorrelationFactor(std::vector<double>(50, 3.0)), 1.0);
}

} // namespace
} // namespace potwatch::signal
