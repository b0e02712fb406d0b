// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/findings_text.h"
#include "tests/app/window/chart/chart_fixture.h"

#include <cmath>

namespace potwatch::window {
namespace {

using report::Range;
using testing::HasSubstr;

TEST_F(Chart, fitsTheRunThatItIsGiven) {
    EXPECT_EQ(chart->shownTime(), report::shownRange(*shown));
    chart->showTime({.low = 600.0, .high = 700.0});
    show(report::shortAnalysis());
    EXPECT_EQ(chart->shownTime(), report::shownRange(*shown));
}

TEST_F(Chart, keepsTheViewWhenTheSameRunHasOtherFindings) {
    chart->showTime({.low = 600.0, .high = 700.0});
    Analysis other = report::shortAnalysis();
    other.findings.landmarks.onset->time_s.value += 10.0;
    show(other, true);
    EXPECT_EQ(chart->shownTime(), (Range{.low = 600.0, .high = 700.0}));
}

TEST_F(Chart, showsNothingWithoutARun) {
    chart->setAnalysis(nullptr);
    settle();
    EXPECT_TRUE(chart->shownTexts().isEmpty());
    key(Qt::Key_Plus);
    key(Qt::Key_Left);
    QTest::mouseClick(chart.get(), Qt::LeftButton, {}, QPoint(300, 300));
    EXPECT_FALSE(chart->grab().isNull());
}

TEST_F(Chart, isPannedByDragging) {
    chart->showTime({.low = 600.0, .high = 800.0});
    const double a_pixel = pixel();
    drag(QPoint(400, 250), QPoint(300, 250));
    EXPECT_NEAR(chart->shownTime().low, 600.0 + 100.0 * a_pixel, 1e-6);
    EXPECT_NEAR(chart->shownTime().width(), 200.0, 1e-6);
}

TEST_F(Chart, isPannedByTheWheelAndByArrowKeys) {
    chart->showTime({.low = 600.0, .high = 800.0});
    wheel(QPoint(400, 250), -1);
    EXPECT_NEAR(chart->shownTime().low, 620.0, 1e-6);
    key(Qt::Key_Left);
    EXPECT_NEAR(chart->shownTime().low, 600.0, 1e-6);
    key(Qt::Key_Right, Qt::ShiftModifier);
    EXPECT_NEAR(chart->shownTime().low, 700.0, 1e-6);
}

TEST_F(Chart, isNotPannedOutOfTheTrace) {
    chart->panBy(-100.0);
    EXPECT_GT(chart->shownTime().high, 0.0);
    chart->panBy(1000.0);
    EXPECT_LT(chart->shownTime().low, 1800.0);
}

TEST_F(Chart, isZoomedAboutThePointer) {
    const QPoint where(500, 250);
    const double a_pixel = pixel();
    const Range before = chart->shownTime();
    const double left = chart->positionOf(PaneKind::temperature, before.low, 50.0)->x();
    const double under = before.low + (where.x() - left) * a_pixel;
    wheel(where, 2, Qt::ControlModifier);
    EXPECT_NEAR(chart->shownTime().width(), before.width() / 1.5625, 1e-6);
    EXPECT_NEAR(chart->positionOf(PaneKind::temperature, under, 50.0)->x(), where.x(), 0.01);
}

TEST_F(Chart, isZoomedByKeysAndFittedAgain) {
    const Range fitted = chart->shownTime();
    key(Qt::Key_Plus);
    EXPECT_NEAR(chart->shownTime().width(), fitted.width() / 1.25, 1e-6);
    key(Qt::Key_Minus);
    EXPECT_NEAR(chart->shownTime().width(), fitted.width(), 1e-6);
    key(Qt::Key_Plus);
    key(Qt::Key_0);
    EXPECT_EQ(chart->shownTime(), fitted);
    key(Qt::Key_End);
    EXPECT_EQ(chart->shownTime(), (Range{.low = 0.0, .high = 1800.0}));
    key(Qt::Key_Home);
    EXPECT_EQ(chart->shownTime(), fitted);
}

TEST_F(Chart, isNotZoomedCloserThanAFewSamples) {
    for (int i = 0; i < 200; ++i) {
        chart->zoomBy(2.0);
    }
    EXPECT_GE(chart->shownTime().width(), 5.0);
    EXPECT_FALSE(chart->grab().isNull());
}

TEST_F(Chart, saysWhatItShowsToWhoCannotSeeIt) {
    EXPECT_THAT(chart->accessibleName().toStdString(), HasSubstr("rod 03"));
    for (const report::Pin& pin : report::pins(shown->findings)) {
        EXPECT_THAT(chart->accessibleDescription().toStdString(), HasSubstr(pin.line));
    }
}

TEST_F(Chart, writesPinsSpansAndEventsAsTheExportDoes) {
    const std::string texts = chart->shownTexts().join(QLatin1Char('\n')).toStdString();
    for (const report::Pin& pin : report::pins(shown->findings)) {
        EXPECT_THAT(texts, HasSubstr(pin.lines.front()));
    }
    for (const report::Span& span : report::spans(*shown)) {
        EXPECT_THAT(texts, HasSubstr(span.text));
    }
    for (const Event& event : shown->events) {
        EXPECT_THAT(texts, HasSubstr(report::eventText(event)));
    }
}

} // namespace
} // namespace potwatch::window
