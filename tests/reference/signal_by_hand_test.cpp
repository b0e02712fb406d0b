// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/hampel.h"
#include "analysis/signal/noise.h"
#include "analysis/thermocouple/plunge.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace potwatch::signal {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

// Readings that go through seven values about a level again and again, and one in the middle that stands off.
std::vector<std::size_t> spikesWith(double off_k, double threshold_sigma) {
    constexpr double about_k[]{0.0, 0.3, -0.2, 0.1, -0.3, 0.2, -0.1};
    std::vector<double> time_s;
    std::vector<double> value;
    for (int i = 0; i < 141; ++i) {
        time_s.push_back(i);
        value.push_back(50.0 + about_k[i % 7]);
    }
    value[70] = 50.0 + off_k;
    return spikes({time_s, value}, {.threshold_sigma = threshold_sigma});
}

// By hand: any seven readings in a row hold all seven values, so their median is the level, and the distances from it
// are 0, 0.1, 0.1, 0.2, 0.2, 0.3, 0.3 K. Their median, 0.2 K, stands for a standard deviation of 1.4826 x 0.2 = 0.2965
// K: five of them are 1.48 K, ten 2.97 K. The lines through either side alone, which must agree, are up to 0.8 K off.
// Source: F. R. Hampel, J. Am. Stat. Assoc. 69 (1974) 383 (the factor 1.4826 of a normal distribution).
TEST(HampelByHand, callsASpikeWhatIsFiveDeviationsOff) {
    EXPECT_THAT(spikesWith(1.40, 5.0), IsEmpty());
    EXPECT_THAT(spikesWith(2.30, 5.0), ElementsAre(70));
    EXPECT_THAT(spikesWith(-1.40, 5.0), IsEmpty());
    EXPECT_THAT(spikesWith(-2.30, 5.0), ElementsAre(70));
    EXPECT_THAT(spikesWith(2.80, 10.0), IsEmpty());
    EXPECT_THAT(spikesWith(3.80, 10.0), ElementsAre(70));
}

// Source: W. R. Bennett, Bell Syst. Tech. J. 27 (1948) 446: rounding to steps of q adds noise of q / sqrt(12). By hand:
// 0.25 / 3.4641 = 0.0722 K. The slope changes slowly, so that the steps are met at every part of them.
TEST(RoundingByHand, isNoiseOfAStepOverRootTwelve) {
    std::vector<double> time_s;
    std::vector<double> value;
    for (int i = 0; i < 20000; ++i) {
        time_s.push_back(i);
        value.push_back(0.25 * std::round((20.0 + 1e-4 * i * i) / 0.25));
    }
    EXPECT_NEAR(noiseStandardDeviation({time_s, value}), 0.0722, 0.004);
    EXPECT_DOUBLE_EQ(quantisationStep(value), 0.25);
}

// By hand: a probe of 5 s from 20 into 100 °C reads 100 - 80 / e = 70.570 after one lag, 89.173 after two, 96.017 after
// three.
TEST(PlungeByHand, lagIsWhereTwoThirdsAreDone) {
    std::vector<double> time_s;
    std::vector<double> value;
    for (double t = 0.0; t <= 60.0; t += 0.5) {
        time_s.push_back(t);
        value.push_back(t < 5.0 ? 20.0 : 100.0 - 80.0 * std::exp(-(t - 5.0) / 5.0));
    }
    EXPECT_NEAR(value[20], 70.570, 1e-3);
    EXPECT_NEAR(value[30], 89.173, 1e-3);
    EXPECT_NEAR(value[40], 96.017, 1e-3);
    const auto lag = thermocouple::lagFromPlunge({time_s, value});
    ASSERT_TRUE(lag) << describe(lag.error());
    EXPECT_NEAR(lag->lag_s, 5.0, 0.01);
}

} // namespace
} // namespace potwatch::signal
