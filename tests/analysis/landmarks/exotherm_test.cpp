// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/boil.h"
#include "analysis/landmarks/exotherm.h"
#include "analysis/landmarks/spread.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::landmarks {
namespace {

using signal_tests::addNoise;
using signal_tests::evenTrace;

// A rise whose inflexion, tangent and peak are known: a logistic step that cools again.
double logistic(double t, double middle_s, double width_s) {
    return 1.0 / (1.0 + std::exp(-(t - middle_s) / width_s));
}
double step(double t) {
    return 22.0 + 60.0 * logistic(t, 400.0, 25.0);
}
double exotherm(double t) {
    return 22.0 + 60.0 * logistic(t, 400.0, 25.0) * std::exp(-std::max(0.0, t - 550.0) / 600.0);
}

std::vector<Rise> risesOf(const signal_tests::Trace& trace, double noise, std::optional<double> dose_s = std::nullopt) {
    return findRises(trace.view(), smoothCurves(trace.view(), 0.0, noise), 0.0, {.dose_start_s = dose_s});
}

TEST(Onset, isWhereBaselineMeetsTangent) {
    EXPECT_DOUBLE_EQ(onsetTime({.level_c = 20.0}, 100.0, 50.0, 0.5), 40.0);
    EXPECT_DOUBLE_EQ(onsetTime({.middle_s = 0.0, .level_c = 20.0, .slope_k_per_s = 0.1}, 100.0, 60.0, 0.5), 25.0);
}

TEST(Exotherm, hasTheOnsetOfALogisticStep) {
    auto trace = evenTrace(2401, 0.5, exotherm);
    addNoise(trace, 0.1);
    const auto rises = risesOf(trace, 0.1);
    ASSERT_EQ(rises.size(), 1U);
    // Steepest at the middle with 60 / (4 width); the tangent meets the baseline two widths earlier.
    EXPECT_NEAR(rises[0].steepest_k_per_s, 0.6, 0.012);
    EXPECT_NEAR(rises[0].onset_s, 350.0, 2.0);
    EXPECT_NEAR(rises[0].peak_c, exotherm(550.0), 0.2);
}

TEST(Exotherm, isNotSeenInNoiseOrDrift) {
    auto quiet = evenTrace(1200, 1.0, [](double) { return 22.0; });
    addNoise(quiet, 0.2);
    EXPECT_TRUE(risesOf(quiet, 0.2).empty());
    auto cooling = evenTrace(1200, 1.0, [](double t) { return 22.0 + 60.0 * std::exp(-t / 300.0); });
    addNoise(cooling, 0.2);
    EXPECT_TRUE(risesOf(cooling, 0.2).empty());
}

TEST(Exotherm, severalAreFoundInOrder) {
    auto trace = evenTrace(4001, 0.5, [](double t) {
        const auto bump = [&](double at, double height) {
            return height * std::exp(-0.5 * std::pow((t - at) / 60.0, 2));
        };
        return 22.0 + bump(400.0, 20.0) + bump(1000.0, 50.0) + bump(1500.0, 15.0);
    });
    addNoise(trace, 0.1);
    const auto rises = risesOf(trace, 0.1);
    ASSERT_EQ(rises.size(), 3U);
    EXPECT_NEAR(rises[0].peak_s, 400.0, 3.0);
    EXPECT_NEAR(rises[1].peak_s, 1000.0, 3.0);
    EXPECT_NEAR(rises[2].peak_s, 1500.0, 3.0);
}

double bump(double t, double at_s, double height_k) {
    return height_k * std::exp(-0.5 * std::pow((t - at_s) / 60.0, 2));
}

TEST(Exotherm, theHottestIsNotTheTallest) {
    // 45 K from cold, then 36 K from a pot that is hot already.
    auto trace = evenTrace(3001, 0.5, [](double t) {
        return 20.0 + 40.0 * logistic(t, 400.0, 25.0) + bump(t, 480.0, 8.0) + bump(t, 1000.0, 36.0);
    });
    addNoise(trace, 0.1);
    const auto rises = risesOf(trace, 0.1);
    ASSERT_EQ(rises.size(), 2U);
    EXPECT_EQ(hottestOf(rises), 1U);
    EXPECT_NEAR(rises[1].peak_c, 96.0, 0.5);
}

TEST(Exotherm, aStandBetweenTwoHidesNeither) {
    auto trace = evenTrace(
        4001, 0.5, [](double t) { return 20.0 + 45.0 * logistic(t, 400.0, 25.0) + 31.0 * logistic(t, 1400.0, 25.0); });
    addNoise(trace, 0.1);
    const auto rises = risesOf(trace, 0.1);
    ASSERT_EQ(rises.size(), 2U);
    EXPECT_NEAR(rises[0].steepest_s, 400.0, 5.0);
    EXPECT_NEAR(rises[1].steepest_s, 1400.0, 5.0);
    EXPECT_NEAR(rises[1].onset_s, 1350.0, 5.0);
    EXPECT_NEAR(rises[1].peak_c, 96.0, 0.5);
}

TEST(Exotherm, aHotStartIsNoPeak) {
    auto trace =
        evenTrace(3001, 0.5, [](double t) { return 22.0 + 70.0 * std::exp(-t / 200.0) + bump(t, 900.0, 50.0); });
    addNoise(trace, 0.1);
    const auto rises = risesOf(trace, 0.1);
    ASSERT_EQ(rises.size(), 1U);
    EXPECT_NEAR(rises[0].peak_s, 900.0, 5.0);
}

TEST(Exotherm, anOvenIsNone) {
    const auto oven = [](double t) { return 22.0 + 60.0 * logistic(t, 300.0, 30.0); };
    const auto pot = [](double t) { return 22.0 + 60.0 * logistic(t, 600.0, 90.0); };
    const auto around = evenTrace(5001, 0.5, oven);
    auto heated = evenTrace(5001, 0.5, pot);
    addNoise(heated, 0.1);
    const Heating heating{.surroundings_c = around.view()};
    EXPECT_TRUE(findRises(heated.view(), smoothCurves(heated.view(), 0.0, 0.1), 0.0, heating).empty());

    // 8 K over the oven, though less than a tenth would be enough, and its onset is where it leaves the oven.
    auto cured = evenTrace(5001, 0.5, [&](double t) { return pot(t) + bump(t, 1600.0, 8.0); });
    addNoise(cured, 0.1);
    const auto rises = findRises(cured.view(), smoothCurves(cured.view(), 0.0, 0.1), 0.0, heating);
    ASSERT_EQ(rises.size(), 1U);
    EXPECT_NEAR(rises[0].peak_c, 90.0, 0.5);
    // The tangent at the inflexion of a Gaussian meets its foot two widths before its top.
    EXPECT_NEAR(rises[0].onset_s, 1600.0 - 2.0 * 60.0, 4.0);
    EXPECT_NEAR(rises[0].onset_c, 82.0 + 8.0 * std::exp(-2.0), 0.4);
}

TEST(Exotherm, whatWarmedThePotBeforeTheDoseIsNone) {
    auto trace = evenTrace(4001, 0.5, [](double t) { return 22.0 + bump(t, 300.0, 70.0) + bump(t, 1200.0, 50.0); });
    addNoise(trace, 0.1);
    EXPECT_EQ(risesOf(trace, 0.1).size(), 2U);
    const auto rises = risesOf(trace, 0.1, 800.0);
    ASSERT_EQ(rises.size(), 1U);
    EXPECT_NEAR(rises[0].peak_s, 1200.0, 5.0);
}

TEST(Exotherm, saysWhenTheTraceEndsOrBeginsInTheRise) {
    auto cut = evenTrace(801, 0.5, step);
    EXPECT_TRUE(risesOf(cut, 0.01).at(0).ends_rising);
    auto late = evenTrace(1601, 0.5, [](double t) { return exotherm(t + 390.0); });
    EXPECT_TRUE(risesOf(late, 0.01).at(0).starts_rising);
}

TEST(Baseline, keepsASlopeOnlyWhereItIsSignificant) {
    auto flat = evenTrace(200, 1.0, [](double) { return 22.0; });
    addNoise(flat, 0.1);
    EXPECT_EQ(baselineOf(flat.view(), 0.0, 150.0, 0.1).slope_k_per_s, 0.0);
    auto drifting = evenTrace(200, 1.0, [](double t) { return 22.0 + 0.01 * t; });
    addNoise(drifting, 0.1);
    EXPECT_NEAR(baselineOf(drifting.view(), 0.0, 150.0, 0.1).slope_k_per_s, 0.01, 0.001);
}

TEST(Spread, growsWithTheLagsUncertaintyOnlyOnFlanks) {
    auto trace = evenTrace(2401, 0.5, exotherm);
    addNoise(trace, 0.1);
    const Curves curves = smoothCurves(trace.view(), 4.0, 0.1);
    const Rise rise = findRises(trace.view(), curves, 4.0).at(0);
    const auto known = withUncertainty(rise, curves, {4.0, 0.0}, 0.0, {.count = 60});
    const auto guessed = withUncertainty(rise, curves, {4.0, 1.0}, 0.0, {.count = 60});
    EXPECT_GT(guessed.steepest.temperature_c.u, 1.2 * known.steepest.temperature_c.u);
    EXPECT_LT(guessed.peak.temperature_c.u, 0.2);
    const auto thermocouple = withUncertainty(rise, curves, {4.0, 0.0}, 0.5, {.count = 60});
    EXPECT_NEAR(thermocouple.peak.temperature_c.u, std::hypot(0.5, known.peak.temperature_c.u), 1e-9);
}

TEST(Spread, isTheSameForTheSameSeed) {
    const auto trace = evenTrace(2401, 0.5, exotherm);
    const Curves curves = smoothCurves(trace.view(), 4.0, 0.1);
    const Rise rise = findRises(trace.view(), curves, 4.0).at(0);
    const auto once = withUncertainty(rise, curves, {4.0, 1.0}, 0.0, {.count = 30, .seed = 9});
    const auto again = withUncertainty(rise, curves, {4.0, 1.0}, 0.0, {.count = 30, .seed = 9});
    EXPECT_EQ(once.peak, again.peak);
    EXPECT_EQ(once.onset, again.onset);
}

// A pot that heats ever faster, is held at the boiling point for a while and cools.
double boiling(double t) {
    const double heated = 22.0 + std::exp((t - 100.0) / 45.0);
    return t < 300.0 && heated < 100.0 ? heated
           : t < 345.0                 ? 100.0 + 0.4 * std::exp(-(t - 296.0) / 10.0)
                                       : 22.0 + 78.0 * std::exp(-(t - 345.0) / 400.0);
}

TEST(BoilPlateau, isFoundWhereTheRateBreaksOff) {
    auto trace = evenTrace(2401, 0.5, boiling);
    addNoise(trace, 0.1);
    const Curves curves = smoothCurves(trace.view(), 0.0, 0.1);
    const Rise rise = findRises(trace.view(), curves, 0.0).at(0);
    const auto plateau = findBoilPlateau(courseOf(curves, 0.0), rise, {.temperature_c = 99.97, .stated = false});
    ASSERT_TRUE(plateau);
    EXPECT_NEAR(plateau->temperature_c, 100.0, 0.5);
    EXPECT_NEAR(plateau->end_s, 348.0, 8.0);
}

TEST(BoilPlateau, isNotARoundedTopNearTheBoilingPoint) {
    auto trace = evenTrace(2401, 0.5, [](double t) { return exotherm(t) + 18.0 * logistic(t, 400.0, 25.0); });
    addNoise(trace, 0.1);
    const Curves curves = smoothCurves(trace.view(), 0.0, 0.1);
    const Rise rise = findRises(trace.view(), curves, 0.0).at(0);
    ASSERT_NEAR(rise.peak_c, 100.0, 1.0);
    EXPECT_FALSE(findBoilPlateau(courseOf(curves, 0.0), rise, {.temperature_c = 100.5, .stated = true}));
}

} // namespace
} // namespace potwatch::landmarks
