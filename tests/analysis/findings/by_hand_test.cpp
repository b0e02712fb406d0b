// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "tests/analysis/signal/traces.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace potwatch {
namespace {

// A pot that rises from 21 °C at about 300 s to a peak at about 430 s and cools again.
double pot(double t) {
    const double rise = 1.0 / (1.0 + std::exp(-(t - 300.0) / 20.0));
    return 21.0 + 49.0 * rise * std::exp(-std::max(0.0, t - 420.0) / 300.0);
}

// As above, held at 100 °C from about 330 s to 420 s.
double boilingPot(double t) {
    const double rise = 1.0 / (1.0 + std::exp(-(t - 300.0) / 20.0));
    const double free_c = 21.0 + 109.0 * rise * std::exp(-std::max(0.0, t - 400.0) / 300.0);
    return std::min(free_c, 100.4);
}

potwatch::Run runOf(double (*temperature)(double), std::vector<LandmarkOverride> overrides = {}) {
    auto trace = signal_tests::evenTrace(3601, 0.5, temperature);
    signal_tests::addNoise(trace, 0.05);
    potwatch::Run run{.name = "a",
                      .file = "a.csv",
                      .time_s = trace.time_s,
                      .channels = {{.name = "pot_c", .unit = "degC", .values = trace.value}}};
    run.batch.file = "a.batch.toml";
    run.batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0, .boiling_c = 100.0};
    run.batch.vessel.heat_capacity_j_per_k = 25.0;
    run.batch.sensor_lag_s = 2.0;
    run.overrides = std::move(overrides);
    return run;
}

Analysis analysisOf(const potwatch::Run& run) {
    const auto results = analyse(std::vector<potwatch::Run>{run}, {});
    EXPECT_TRUE(results.at(0)) << describe(results.at(0).error());
    return results.at(0) ? *results.at(0) : Analysis{};
}

Findings findingsOf(const potwatch::Run& run) {
    return analysisOf(run).findings;
}

Findings with(LandmarkKind kind, double time_s, double (*temperature)(double) = pot) {
    return findingsOf(runOf(temperature, {{kind, time_s}}));
}

bool warns(const Findings& findings, const std::string& words) {
    return std::any_of(findings.warnings.begin(), findings.warnings.end(),
                       [&](const std::string& warning) { return warning.find(words) != std::string::npos; });
}

double curveAt(const Analysis& analysis, double at_s, const std::vector<double>& values) {
    const auto& times = analysis.series.time_s;
    return values.at(static_cast<std::size_t>(std::lower_bound(times.begin(), times.end(), at_s) - times.begin()));
}

using Kinds = std::vector<LandmarkKind>;

TEST(ByHand, onsetStandsWhereItWasPutOnTheCurve) {
    const Analysis analysis = analysisOf(runOf(pot, {{LandmarkKind::onset, 240.0}}));
    const Landmark& onset = *analysis.findings.landmarks.onset;
    EXPECT_EQ(onset.time_s, (Estimate{.value = 240.0, .u = 0.0, .low = 240.0, .high = 240.0}));
    EXPECT_NEAR(onset.temperature_c.value, curveAt(analysis, 240.0, analysis.series.temperature_c), 1e-9);
    // The same noise and lag as the curve's; the lag's part is drawn here and linear there.
    const double curve_u = curveAt(analysis, 240.0, analysis.series.temperature_u_k);
    EXPECT_GT(onset.temperature_c.u, 0.5 * curve_u);
    EXPECT_LT(onset.temperature_c.u, 2.0 * curve_u);
    EXPECT_EQ(analysis.findings.by_hand, Kinds{LandmarkKind::onset});
    EXPECT_EQ(analysis.findings.exotherms.front().onset, analysis.findings.landmarks.onset);
}

TEST(ByHand, onsetMovesNothingElse) {
    Findings moved = with(LandmarkKind::onset, 240.0);
    const Findings found = findingsOf(runOf(pot));
    EXPECT_EQ(moved.landmarks.peak, found.landmarks.peak);
    EXPECT_EQ(moved.landmarks.steepest, found.landmarks.steepest);
    EXPECT_EQ(moved.heat, found.heat);
    EXPECT_EQ(moved.warnings, found.warnings);
}

TEST(ByHand, firstDeviationStandsWhereItWasPut) {
    const Findings findings = with(LandmarkKind::firstDeviation, 190.0);
    EXPECT_EQ(findings.landmarks.first_deviation->time_s.value, 190.0);
    EXPECT_EQ(findings.landmarks.first_deviation->time_s.u, 0.0);
    EXPECT_EQ(findings.by_hand, Kinds{LandmarkKind::firstDeviation});
}

TEST(ByHand, steepestGivesTheRateThereAndMovesTheOnset) {
    const Analysis analysis = analysisOf(runOf(pot, {{LandmarkKind::steepest, 280.0}}));
    const Landmarks& marks = analysis.findings.landmarks;
    EXPECT_EQ(marks.steepest->time_s.value, 280.0);
    EXPECT_NEAR(marks.steepest->rate_k_per_min.value, curveAt(analysis, 280.0, analysis.series.rate_k_per_min), 0.05);
    const Findings found = findingsOf(runOf(pot));
    EXPECT_LT(marks.onset->time_s.value, found.landmarks.onset->time_s.value);
    EXPECT_GT(marks.onset->time_s.u, 0.0);
}

TEST(ByHand, onsetPutByHandOutranksTheTangentAtTheSteepestPoint) {
    const Findings findings = findingsOf(runOf(pot, {{LandmarkKind::steepest, 280.0}, {LandmarkKind::onset, 255.0}}));
    EXPECT_EQ(findings.landmarks.onset->time_s.value, 255.0);
    EXPECT_EQ(findings.by_hand, (Kinds{LandmarkKind::onset, LandmarkKind::steepest}));
}

TEST(ByHand, peakMovesWhereTheCoolingIsRead) {
    const Findings found = findingsOf(runOf(pot));
    const Findings findings = with(LandmarkKind::peak, 520.0);
    EXPECT_EQ(findings.landmarks.peak->time_s.value, 520.0);
    EXPECT_LT(findings.landmarks.peak->temperature_c.value, found.landmarks.peak->temperature_c.value - 5.0);
    EXPECT_NE(findings.heat.loss_from, found.heat.loss_from);
    EXPECT_NE(findings.heat.loss_from, "");
}

TEST(ByHand, peakBeforeTheSteepestPointHasItsOwnSteepestPoint) {
    const Landmarks marks = with(LandmarkKind::peak, 290.0).landmarks;
    EXPECT_EQ(marks.peak->time_s.value, 290.0);
    EXPECT_LE(marks.steepest->time_s.value, 290.0);
    EXPECT_LE(marks.onset->time_s.value, marks.steepest->time_s.value);
}

TEST(ByHand, endMovesWhereTheCoolingIsRead) {
    const Findings findings = with(LandmarkKind::end, 600.0);
    EXPECT_EQ(findings.landmarks.end->time_s.value, 600.0);
    EXPECT_EQ(findings.heat.loss_from.rfind("cooling tail 600-", 0), 0U) << findings.heat.loss_from;
    EXPECT_GT(findings.landmarks.end->temperature_c.u, 0.0);
}

TEST(ByHand, endWithTooLittleCoolingAfterItLeavesTheLossAndSaysSo) {
    const Findings found = findingsOf(runOf(pot));
    const Findings findings = with(LandmarkKind::end, 1700.0);
    EXPECT_EQ(findings.landmarks.end->time_s.value, 1700.0);
    EXPECT_EQ(findings.heat, found.heat);
    EXPECT_TRUE(warns(findings, "hardly cools after the end put by hand at 1700 s"));
}

TEST(ByHand, boilingStandsBetweenItsEndsAndTheSteamFollows) {
    const Findings found = findingsOf(runOf(boilingPot));
    ASSERT_TRUE(found.landmarks.boil_plateau);
    const double later_s = found.landmarks.boil_plateau->end_s + 60.0;
    const Findings findings = with(LandmarkKind::boilEnd, later_s, boilingPot);
    EXPECT_EQ(findings.landmarks.boil_plateau->end_s, later_s);
    EXPECT_EQ(findings.landmarks.boil_plateau->start_s, found.landmarks.boil_plateau->start_s);
    EXPECT_GT(findings.heat.evaporated_g->value, found.heat.evaporated_g->value);
    EXPECT_EQ(findings.by_hand, Kinds{LandmarkKind::boilEnd});
    const double earlier_s = found.landmarks.boil_plateau->start_s - 5.0;
    EXPECT_EQ(with(LandmarkKind::boilStart, earlier_s, boilingPot).landmarks.boil_plateau->start_s, earlier_s);
}

TEST(ByHand, boilingCanBePutWhereNoneWasFound) {
    const Findings findings =
        findingsOf(runOf(pot, {{LandmarkKind::boilStart, 400.0}, {LandmarkKind::boilEnd, 440.0}}));
    ASSERT_TRUE(findings.landmarks.boil_plateau);
    EXPECT_EQ(findings.landmarks.boil_plateau->start_s, 400.0);
    EXPECT_TRUE(findings.heat.evaporated_g);
    EXPECT_EQ(findings.by_hand, (Kinds{LandmarkKind::boilStart, LandmarkKind::boilEnd}));
}

TEST(ByHand, halfAPlateauIsLeftOutAndSaysSo) {
    Findings findings = with(LandmarkKind::boilStart, 400.0);
    EXPECT_FALSE(findings.landmarks.boil_plateau);
    EXPECT_TRUE(findings.by_hand.empty());
    EXPECT_TRUE(warns(findings, "the start of boiling put by hand at 400 s has no end of boiling to go with it"));
    findings = findingsOf(runOf(pot, {{LandmarkKind::boilStart, 440.0}, {LandmarkKind::boilEnd, 400.0}}));
    EXPECT_FALSE(findings.landmarks.boil_plateau);
    EXPECT_TRUE(warns(findings, "does not lie after the start of boiling"));
}

TEST(ByHand, whatCannotBeUsedIsLeftOutWithAWarningAndNothingElseChanges) {
    struct Case {
        std::vector<LandmarkOverride> overrides;
        std::string words;
    };
    const std::vector<Case> cases{
        {{{LandmarkKind::peak, 99999.0}}, "lies outside the trace"},
        {{{LandmarkKind::peak, -5.0}}, "lies outside the trace"},
        {{{LandmarkKind::onset, std::numeric_limits<double>::quiet_NaN()}}, "lies outside the trace"},
        {{{LandmarkKind::end, std::numeric_limits<double>::infinity()}}, "lies outside the trace"},
        {{{LandmarkKind::peak, 0.0}}, "does not stand above the temperature before the rise"},
        {{{LandmarkKind::onset, 1000.0}}, "the onset put by hand at 1000 s lies after the steepest rise"},
        {{{LandmarkKind::firstDeviation, 1000.0}}, "lies after the steepest rise"},
        {{{LandmarkKind::steepest, 1000.0}}, "the steepest rise put by hand at 1000 s lies after the peak"},
        {{{LandmarkKind::steepest, 10.0}}, "no rise from which an onset could be extrapolated"},
        {{{LandmarkKind::end, 100.0}}, "the end of the exotherm put by hand at 100 s lies before the peak"}};
    const Findings found = findingsOf(runOf(pot));
    for (const Case& one : cases) {
        Findings findings = findingsOf(runOf(pot, one.overrides));
        EXPECT_TRUE(warns(findings, one.words)) << one.words << ": " << ::testing::PrintToString(findings.warnings);
        EXPECT_EQ(findings.warnings.size(), found.warnings.size() + 1) << one.words;
        findings.warnings = found.warnings;
        EXPECT_EQ(findings, found) << one.words;
    }
}

TEST(ByHand, ofTwoThatContradictEachOtherTheLaterOneGivesWay) {
    const Findings findings = findingsOf(runOf(pot, {{LandmarkKind::peak, 420.0}, {LandmarkKind::end, 410.0}}));
    EXPECT_EQ(findings.by_hand, Kinds{LandmarkKind::peak});
    EXPECT_TRUE(warns(findings, "lies before the peak put by hand at 420 s"));
}

TEST(ByHand, takenBackGivesTheSameFindingsBitForBit) {
    potwatch::Run run = runOf(pot, {{LandmarkKind::peak, 500.0}, {LandmarkKind::onset, 240.0}});
    EXPECT_NE(analysisOf(run).findings.landmarks, findingsOf(runOf(pot)).landmarks);
    run.overrides.clear();
    EXPECT_EQ(analysisOf(run), analysisOf(runOf(pot)));
}

TEST(ByHand, aFlatTraceAndABlankLeaveEverythingOutAndSaySo) {
    potwatch::Run run = runOf([](double) { return 22.0; }, {{LandmarkKind::peak, 300.0}});
    EXPECT_TRUE(warns(findingsOf(run), "no exotherm for the landmarks put by hand"));
    run = runOf(pot, {{LandmarkKind::peak, 300.0}});
    run.batch.blank = true;
    run.batch.charge = {.water_g = 80.0};
    EXPECT_TRUE(warns(findingsOf(run), "a blank has no landmarks"));
}

// Wherever two landmarks are put, the order of time holds and every figure is a number.
TEST(ByHandLaw, orderHoldsWhereverLandmarksArePut) {
    const Kinds kinds{LandmarkKind::firstDeviation, LandmarkKind::onset, LandmarkKind::steepest, LandmarkKind::peak,
                      LandmarkKind::end};
    for (std::size_t i = 0; i < kinds.size(); ++i) {
        for (const double at_s : {0.0, 120.0, 270.0, 305.0, 433.0, 700.0, 1799.0}) {
            const std::size_t other = (i + 2) % kinds.size();
            const Landmarks marks =
                findingsOf(runOf(pot, {{kinds[i], at_s}, {kinds[other], 1.05 * at_s + 3.0}})).landmarks;
            ASSERT_TRUE(marks.onset && marks.first_deviation && marks.steepest && marks.peak);
            EXPECT_LE(marks.onset->time_s.value, marks.steepest->time_s.value);
            EXPECT_LE(marks.first_deviation->time_s.value, marks.steepest->time_s.value);
            EXPECT_LE(marks.steepest->time_s.value, marks.peak->time_s.value);
            if (marks.end) {
                EXPECT_LE(marks.peak->time_s.value, marks.end->time_s.value);
            }
            for (const Estimate& one : {marks.onset->time_s, marks.onset->temperature_c, marks.steepest->rate_k_per_min,
                                        marks.peak->temperature_c, marks.first_deviation->temperature_c}) {
                EXPECT_TRUE(std::isfinite(one.value) && std::isfinite(one.u));
                EXPECT_LE(one.low, one.value);
                EXPECT_LE(one.value, one.high);
            }
        }
    }
}

} // namespace
} // namespace potwatch
