// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/findings_text.h"
#include "app/report/plot_content.h"
#include "tests/app/report/invented_analysis.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::report {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

std::vector<PaneKind> kindsOf(const PlotContent& content) {
    std::vector<PaneKind> kinds;
    for (const Pane& pane : content.panes) {
        kinds.push_back(pane.kind);
    }
    return kinds;
}

std::vector<std::string> namesOf(const std::vector<Pin>& pins) {
    std::vector<std::string> names;
    for (const Pin& pin : pins) {
        names.push_back(pin.name);
    }
    return names;
}

InventedPot fastPot() {
    return {.name = "fast", .length_s = 7200.0, .middles_s = {520.0}, .width_s = 8.0, .boiling_c = 100.5};
}

TEST(PlotContent, hasAPaneForEachThingKnown) {
    const Analysis whole = shortAnalysis();
    const Analysis bare = traceAlone(whole);
    EXPECT_THAT(kindsOf(plotContent(whole)),
                ElementsAre(PaneKind::temperature, PaneKind::rate, PaneKind::heat_flow, PaneKind::degree));
    EXPECT_THAT(kindsOf(plotContent(bare)), ElementsAre(PaneKind::temperature));
    EXPECT_TRUE(plotContent(Analysis{}).panes.empty());
}

TEST(PlotContent, leavesAPaneOutWhoseValuesAreAllMissing) {
    Analysis analysis = shortAnalysis();
    for (double& degree : analysis.series.degree) {
        degree = std::numeric_limits<double>::quiet_NaN();
    }
    EXPECT_THAT(kindsOf(plotContent(analysis)),
                ElementsAre(PaneKind::temperature, PaneKind::rate, PaneKind::heat_flow));
}

TEST(PlotContent, showsTheReadingOnlyWhereItDiffersFromTheTemperature) {
    Analysis analysis = shortAnalysis();
    EXPECT_EQ(plotContent(analysis).panes.front().traces.size(), 2U);
    analysis.series.reading_c = analysis.series.temperature_c;
    EXPECT_EQ(plotContent(analysis).panes.front().traces.size(), 1U);
}

TEST(PlotContent, rangesHoldEverythingThatIsDrawn) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis);
    for (const Pane& pane : content.panes) {
        for (const PaneTrace& trace : pane.traces) {
            const Range range = trace.on_right_axis ? *pane.right_range : pane.range;
            for (std::size_t i = 0; i < trace.value.size(); ++i) {
                if (content.time_s[i] >= content.shown_s.low && content.time_s[i] <= content.shown_s.high) {
                    ASSERT_GE(trace.value[i] * trace.factor, range.low) << pane.title;
                    ASSERT_LE(trace.value[i] * trace.factor, range.high) << pane.title;
                }
            }
        }
    }
}

TEST(PlotContent, bandOfTheTemperatureIsIts95PercentInterval) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis);
    const PaneBand& band = content.panes.front().bands.front();
    const Series& s = analysis.series;
    EXPECT_NEAR(band.high(100) - s.temperature_c[100], 1.96 * s.temperature_u_k[100], 1e-4);
    EXPECT_NEAR(s.temperature_c[100] - band.low(100), 1.96 * s.temperature_u_k[100], 1e-4);
}

TEST(Pins, areNumberedByTime) {
    const auto found = pins(shortAnalysis().findings);
    EXPECT_THAT(namesOf(found), ElementsAre("first deviation", "onset", "steepest", "peak", "end"));
    EXPECT_EQ(found.front().number, 1);
    EXPECT_EQ(found.back().number, 5);
}

TEST(Pins, sayWhatWasFoundWithItsUncertainty) {
    Findings findings;
    findings.landmarks.peak =
        Peak{.time_s = normalEstimate(1481.0, 1.5), .temperature_c = normalEstimate(63.02, 0.16), .reading_c = 62.9};
    const auto found = pins(findings);
    ASSERT_EQ(found.size(), 1U);
    EXPECT_EQ(found.front().line, "peak: 1481 s, 63.0 ± 0.3 °C");
    EXPECT_THAT(found.front().lines,
                ElementsAre("peak at 24 min 41 s", "1481 ± 3 s, 63.0 ± 0.3 °C", "highest reading 62.9 °C"));
}

TEST(Pins, tellSeveralExothermsApart) {
    const Analysis analysis =
        inventedAnalysis({.length_s = 4000.0, .interval_s = 2.0, .middles_s = {2400.0, 900.0}, .width_s = 60.0});
    EXPECT_THAT(namesOf(pins(analysis.findings)),
                ElementsAre("onset 1", "peak 1", "end 1", "first deviation", "onset 2", "steepest", "peak 2", "end 2"));
}

TEST(Pins, leaveOutWhatHasNoPlace) {
    Findings findings;
    findings.landmarks.onset = Landmark{.time_s = normalEstimate(std::numeric_limits<double>::quiet_NaN(), 1.0),
                                        .temperature_c = normalEstimate(40.0, 1.0)};
    EXPECT_TRUE(pins(findings).empty());
}

TEST(Spans, runFromLandmarkToLandmarkAndSayTimeAndRise) {
    Analysis analysis;
    Landmarks& marks = analysis.findings.landmarks;
    marks.onset = Landmark{.time_s = normalEstimate(300.0, 1.0), .temperature_c = normalEstimate(40.0, 0.1)};
    marks.peak =
        Peak{.time_s = normalEstimate(550.0, 1.0), .temperature_c = normalEstimate(101.0, 0.1), .reading_c = {}};
    analysis.events = {{.time_s = 100.0, .kind = "dose start", .text = ""}};
    const auto found = spans(analysis);
    ASSERT_EQ(found.size(), 2U);
    EXPECT_EQ(found[0].text, "induction 3 min 20 s");
    EXPECT_EQ(found[1].text, "exotherm 4 min 10 s, +61 K");
}

TEST(Spans, holdTheBoilPlateau) {
    const Analysis analysis = inventedAnalysis(fastPot());
    const auto found = spans(analysis);
    EXPECT_TRUE(
        std::any_of(found.begin(), found.end(), [](const Span& s) { return s.text.find("boil plateau") == 0; }));
}

TEST(EventText, prefersTheWordsOfANote) {
    EXPECT_EQ(eventText({.time_s = 0.0, .kind = "dose start", .text = ""}), "dose start");
    EXPECT_EQ(eventText({.time_s = 0.0, .kind = "note", .text = "turned\nmilky"}), "turned milky");
    EXPECT_EQ(eventText({.time_s = 0.0, .kind = "foam", .text = "at the rim"}), "foam: at the rim");
}

TEST(ShownRange, endsWhereThePotHasCooledAndSaysSo) {
    const Analysis analysis = inventedAnalysis(fastPot());
    const PlotContent content = plotContent(analysis);
    EXPECT_LT(content.shown_s.high, 2400.0);
    EXPECT_GT(content.shown_s.high, analysis.findings.landmarks.end->time_s.value);
    EXPECT_EQ(leftOut(content, content.shown_s).after, "trace continues to 2 h");
    EXPECT_EQ(leftOut(content, content.shown_s).before, "");
}

TEST(ShownRange, leavesOutALongStart) {
    const Analysis analysis = inventedAnalysis({.length_s = 40000.0, .interval_s = 5.0, .middles_s = {36000.0}});
    Analysis late = analysis;
    late.events.clear();
    const PlotContent content = plotContent(late);
    EXPECT_GT(content.shown_s.low, 20000.0);
    EXPECT_EQ(leftOut(content, content.shown_s).before, "trace starts at 0.0 s");
}

TEST(ShownRange, holdsEveryLandmarkAndEvent) {
    Analysis analysis = inventedAnalysis(fastPot());
    analysis.events.push_back({.time_s = 6900.0, .kind = "note", .text = "taken out"});
    const Range shown = shownRange(analysis);
    for (const Pin& pin : pins(analysis.findings)) {
        EXPECT_TRUE(pin.time_s >= shown.low && pin.time_s <= shown.high) << pin.name;
    }
    EXPECT_GE(shown.high, 6900.0);
}

TEST(ShownRange, isNotStretchedToTheEndByAnEventOfTheCooling) {
    Analysis analysis = inventedAnalysis(fastPot());
    analysis.events.push_back({.time_s = 3000.0, .kind = "dose end", .text = ""});
    const Range shown = shownRange(analysis);
    EXPECT_GT(shown.high, 3000.0);
    EXPECT_LT(shown.high, 4000.0);
}

TEST(ShownRange, isTheWholeTraceWhereNothingWasFound) {
    const Range shown = shownRange(traceAlone(inventedAnalysis(fastPot())));
    EXPECT_EQ(shown, (Range{.low = 0.0, .high = 7200.0}));
}

TEST(ShownRange, hasAWidthEvenForOneMoment) {
    Analysis analysis;
    analysis.series.time_s = {5.0};
    analysis.series.reading_c = {20.0};
    EXPECT_GT(shownRange(analysis).width(), 0.0);
    EXPECT_GT(shownRange(Analysis{}).width(), 0.0);
}

TEST(PlotContent, marksAnEventOutsideTheTraceAtItsEdge) {
    Analysis analysis = shortAnalysis();
    analysis.events = {{.time_s = 99999.0, .kind = "gel", .text = ""}};
    const PlotContent content = plotContent(analysis);
    EXPECT_EQ(content.events.front().time_s, content.shown_s.high);
}

} // namespace
} // namespace potwatch::report
