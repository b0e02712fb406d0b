// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/hampel.h"
#include "tests/analysis/signal/traces.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::signal {
namespace {

using signal_tests::addNoise;
using signal_tests::evenTrace;
using signal_tests::roundTo;
using signal_tests::Trace;
using signal_tests::unevenTrace;
using testing::ElementsAre;
using testing::IsEmpty;

// A fast cure as a probe with 0.12 K noise in steps of 0.25 K would give it: up to 2 K/s.
Trace fastCure() {
    auto trace = evenTrace(2000, 0.5, [](double t) {
        const double rise = 78.0 / (1.0 + std::exp(-(t - 340.0) / 9.0));
        return 22.0 + rise * std::exp(-std::max(0.0, t - 340.0) / 300.0);
    });
    addNoise(trace, 0.12);
    roundTo(trace, 0.25);
    return trace;
}

constexpr Hampel quarter_steps{.threshold_sigma = 5.0, .quantisation_step = 0.25};

TEST(Hampel, findsNothingInACleanCure) {
    EXPECT_THAT(spikes(fastCure().view(), quarter_steps), IsEmpty());
}

TEST(Hampel, findsNothingInALevelThatTogglesBetweenTwoSteps) {
    auto trace = evenTrace(1000, 0.5, [](double) { return 22.0; });
    for (std::size_t i = 0; i < 1000; i += 47) {
        trace.value[i] = 22.25;
    }
    EXPECT_THAT(spikes(trace.view(), quarter_steps), IsEmpty());
}

TEST(Hampel, findsSpikesOfOneToThreeSamplesOnALevel) {
    auto trace = fastCure();
    trace.value[50] += 3.0;
    trace.value[120] -= 5.0;
    trace.value[121] -= 4.0;
    trace.value[1800] += 40.0;
    trace.value[1801] += 40.0;
    trace.value[1802] += 40.0;
    EXPECT_THAT(spikes(trace.view(), quarter_steps), ElementsAre(50, 120, 121, 1800, 1801, 1802));
}

TEST(Hampel, findsASpikeOnTheSteepestFlank) {
    auto trace = fastCure();
    trace.value[680] += 8.0;
    trace.value[660] -= 8.0;
    EXPECT_THAT(spikes(trace.view(), quarter_steps), ElementsAre(660, 680));
}

TEST(Hampel, takesNoStepOrBendForASpike) {
    auto trace = evenTrace(600, 0.5, [](double t) {
        const double step = t < 100.0 ? 0.0 : 15.0;
        return 22.0 + step + (t < 200.0 ? 0.0 : std::min(60.0, 3.0 * (t - 200.0)));
    });
    addNoise(trace, 0.05);
    EXPECT_THAT(spikes(trace.view(), {}), IsEmpty());
}

TEST(Hampel, leavesAStretchOfFourSamplesAlone) {
    auto trace = fastCure();
    for (std::size_t i = 100; i < 104; ++i) {
        trace.value[i] += 10.0;
    }
    EXPECT_THAT(spikes(trace.view(), quarter_steps), IsEmpty());
}

TEST(Hampel, findsSpikesAtEitherEnd) {
    auto trace = fastCure();
    trace.value.front() = 0.0;
    trace.value.back() += 30.0;
    EXPECT_THAT(spikes(trace.view(), quarter_steps), ElementsAre(0, 1999));
}

TEST(Hampel, passesOverMissingValuesAndUnevenSpacing) {
    auto trace = unevenTrace(500, 1.0, [](double t) { return 22.0 + 0.2 * t; });
    addNoise(trace, 0.1);
    trace.value[200] = std::numeric_limits<double>::quiet_NaN();
    trace.value[201] += 4.0;
    EXPECT_THAT(spikes(trace.view(), {}), ElementsAre(201));
}

TEST(Hampel, raisesFewFalseAlarmsOnPureNoise) {
    auto trace = evenTrace(20000, 1.0, [](double) { return 0.0; });
    addNoise(trace, 1.0);
    EXPECT_LE(spikes(trace.view(), {}).size(), 1U);
}

// Found on the sample data: rounding put the median of the distances a third under the noise.
TEST(Hampel, raisesNoFalseAlarmsOnNoiseThatIsAboutAStep) {
    std::size_t alarms = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        auto trace = evenTrace(14000, 0.5, [](double) { return 20.55; });
        addNoise(trace, 0.08, seed);
        roundTo(trace, 0.1);
        alarms += spikes(trace.view(), {.threshold_sigma = 5.0, .quantisation_step = 0.1}).size();
    }
    EXPECT_LE(alarms, 2U); // of 560 000 samples, 0.3 lie beyond five standard deviations
}

TEST(Hampel, saysNothingOfAFewValues) {
    auto trace = evenTrace(8, 1.0, [](double) { return 0.0; });
    trace.value[4] = 100.0;
    EXPECT_THAT(spikes(trace.view(), {}), IsEmpty());
}

} // namespace
} // namespace potwatch::signal
