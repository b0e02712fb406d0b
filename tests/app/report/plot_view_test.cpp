// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_content.h"
#include "tests/app/report/invented_analysis.h"

#include <gtest/gtest.h>

namespace potwatch::report {
namespace {

bool holds(const Range& outer, const Range& inner) {
    return outer.low <= inner.low && outer.high >= inner.high;
}

TEST(PlotView, fitsTheValuesThatAreInView) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis);
    const PlotView early = viewOf(content, {.low = 0.0, .high = 200.0});
    EXPECT_LT(early.panes.front().range.high, 30.0);
    EXPECT_GT(fittedView(content).panes.front().range.high, 70.0);
}

TEST(PlotView, isTheSameWithPyramids) {
    const Analysis analysis = shortAnalysis();
    const PlotView scanned = viewOf(plotContent(analysis), {.low = 300.0, .high = 900.0});
    const PlotView quick = viewOf(plotContent(analysis, true), {.low = 300.0, .high = 900.0});
    for (std::size_t i = 0; i < scanned.panes.size(); ++i) {
        EXPECT_NEAR(quick.panes[i].range.low, scanned.panes[i].range.low, 1e-3);
        EXPECT_NEAR(quick.panes[i].range.high, scanned.panes[i].range.high, 1e-3);
    }
}

TEST(PlotView, keepsAValueAxisWhileItStillServes) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis, true);
    PlotView view = viewOf(content, {.low = 600.0, .high = 900.0});
    int changes = 0;
    for (int i = 1; i <= 100; ++i) {
        const PlotView next = followedView(content, view, {.low = 600.0 + i, .high = 900.0 + i});
        changes += next.panes.front().range == view.panes.front().range ? 0 : 1;
        view = next;
        EXPECT_TRUE(holds(view.panes.front().range, viewOf(content, view.shown_s).panes.front().range) ||
                    view.panes.front().range.width() > 0.0);
    }
    EXPECT_LE(changes, 6);
}

TEST(PlotView, growsWhereTheTraceWouldLeaveIt) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis, true);
    const PlotView early = viewOf(content, {.low = 0.0, .high = 200.0});
    const PlotView all = followedView(content, early, {.low = 0.0, .high = 1800.0});
    EXPECT_GT(all.panes.front().range.high, analysis.findings.landmarks.peak->temperature_c.value);
}

TEST(PlotView, holdsAnnotationsWrittenBesideTheTrace) {
    Analysis analysis = shortAnalysis();
    analysis.annotations = {{.kind = AnnotationKind::text,
                             .pane = PaneKind::temperature,
                             .time_s = 300.0,
                             .value = 140.0,
                             .to_time_s = 300.0,
                             .to_value = 140.0,
                             .text = "high up"}};
    EXPECT_GT(plotContent(analysis).panes.front().range.high, 140.0);
}

TEST(LeftOutWords, sayWhereTheTraceGoesOn) {
    const Analysis analysis = shortAnalysis();
    const PlotContent content = plotContent(analysis);
    EXPECT_EQ(leftOut(content, {.low = 600.0, .high = 900.0}).before, "trace starts at 0.0 s");
    EXPECT_EQ(leftOut(content, {.low = 600.0, .high = 900.0}).after, "trace continues to 30 min");
    EXPECT_EQ(leftOut(content, wholeRange(content)).before, "");
}

} // namespace
} // namespace potwatch::report
