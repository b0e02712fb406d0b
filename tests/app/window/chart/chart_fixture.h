// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/drawing.h"
#include "app/window/chart/chart_view.h"
#include "tests/app/report/invented_analysis.h"

#include <QApplication>
#include <QSignalSpy>
#include <QTest>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <memory>

namespace potwatch::window {

// A chart of a short run, shown without a display.
class Chart : public testing::Test {
protected:
    void SetUp() override {
        ASSERT_TRUE(report::prepareDrawing());
        QApplication::setPalette(QPalette(Qt::white));
        chart = std::make_unique<ChartView>();
        chart->resize(1000, 700);
        chart->show();
        show(report::shortAnalysis());
    }

    void show(const Analysis& analysis, bool keep_view = false) {
        shown = std::make_shared<const Analysis>(analysis);
        chart->setAnalysis(shown, keep_view);
        settle();
    }
    static void settle() { QApplication::processEvents(); }

    // Where the temperature is drawn at a time.
    [[nodiscard]] QPoint onTrace(double time_s) const {
        const Series& series = shown->series;
        const double value = series.temperature_c[static_cast<std::size_t>(time_s / series.time_s[1])];
        return at(PaneKind::temperature, time_s, value);
    }
    [[nodiscard]] QPoint at(PaneKind pane, double time_s, double value) const {
        return chart->positionOf(pane, time_s, value).value_or(QPointF()).toPoint();
    }
    void drag(QPoint from, QPoint to, Qt::KeyboardModifiers modifiers = {}) {
        QTest::mousePress(chart.get(), Qt::LeftButton, modifiers, from);
        for (int i = 1; i <= 4; ++i) {
            QMouseEvent move(QEvent::MouseMove, from + (to - from) * i / 4.0, chart->mapToGlobal(to), Qt::NoButton,
                             Qt::LeftButton, modifiers);
            QApplication::sendEvent(chart.get(), &move);
        }
        QTest::mouseRelease(chart.get(), Qt::LeftButton, modifiers, to);
    }
    void wheel(QPoint where, int notches, Qt::KeyboardModifiers modifiers = {}) {
        constexpr int notch = 120;
        QWheelEvent event(where, chart->mapToGlobal(where), QPoint(), QPoint(0, notches * notch), Qt::NoButton,
                          modifiers, Qt::NoScrollPhase, false);
        QApplication::sendEvent(chart.get(), &event);
    }
    void key(int which, Qt::KeyboardModifiers modifiers = {}) {
        QTest::keyClick(chart.get(), static_cast<Qt::Key>(which), modifiers);
    }
    // Seconds that a pixel stands for.
    [[nodiscard]] double pixel() const {
        const report::Range view = chart->shownTime();
        const double left = chart->positionOf(PaneKind::temperature, view.low, 50.0)->x();
        const double right = chart->positionOf(PaneKind::temperature, view.high, 50.0)->x();
        return view.width() / (right - left);
    }

    std::unique_ptr<ChartView> chart;
    std::shared_ptr<const Analysis> shown;
};

} // namespace potwatch::window
