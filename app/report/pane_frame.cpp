// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/pane_frame.h"

#include "app/report/drawing.h"
#include "app/report/plot_layout.h"

#include <QChart>
#include <QGraphicsLayout>
#include <QLegend>
#include <QLineSeries>
#include <QPen>
#include <QValueAxis>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

QRectF rectOf(const Box& box) {
    return {QPointF(box.left, box.top), QPointF(box.right, box.bottom)};
}

QValueAxis* madeAxis(const Theme& theme) {
    auto* const axis = new QValueAxis;
    axis->setTickType(QValueAxis::TicksDynamic);
    axis->setTickAnchor(0.0);
    // Numbers are drawn with the frame: Qt lays each out as a document of its own, seen or not, so these are as short
    // as they can be.
    axis->setLabelsVisible(false);
    axis->setLabelFormat(QStringLiteral(" "));
    axis->setTruncateLabels(false);
    axis->setLineVisible(false); // drawn with the frame: Qt's own lies half a unit beside it
    axis->setGridLinePen(QPen(theme.grid, 1.0));
    return axis;
}

// Sets range and ticks in an order that never has many ticks in between: Qt makes each of them at once.
void look(QValueAxis& axis, const Range& range, double step, double unit) {
    const double interval = step / unit;
    if (interval > axis.tickInterval()) {
        axis.setTickInterval(interval);
    }
    axis.setRange(range.low / unit, range.high / unit);
    axis.setTickInterval(interval);
}

// A tick's number, with the decimals of its step and a true minus sign.
std::string numberText(double value, double step) {
    const std::string digits = fmt::format("{:.{}f}", std::abs(value), decimalsOfStep(step));
    const bool zero = digits.find_first_not_of("0.") == std::string::npos;
    return value < 0.0 && !zero ? "\u2212" + digits : digits;
}

// Puts a chart where its plot area becomes that rectangle. QChart::setPlotArea() moves the series alone and leaves
// frame, grid and labels behind, so the chart itself is sized by what its axes take up around the plot area.
void place(QChart& chart, const QRectF& area) {
    constexpr int most_rounds = 4;
    chart.layout()->activate();
    for (int round = 0; round < most_rounds; ++round) {
        const QRectF now = chart.mapRectToScene(chart.plotArea());
        if (now == area) {
            return;
        }
        chart.setGeometry(chart.geometry().adjusted(area.left() - now.left(), area.top() - now.top(),
                                                    area.right() - now.right(), area.bottom() - now.bottom()));
        chart.layout()->activate();
    }
}

} // namespace

int mostTimeTicks(double width) {
    return std::max(3, static_cast<int>(width / 74.0));
}

PaneFrame::PaneFrame(QGraphicsScene& scene, const Theme& theme, bool has_right_axis, bool has_times)
    : theme_(theme)
    , chart_(new QChart)
    , left_(madeAxis(theme)) {
    chart_->setAnimationOptions(QChart::NoAnimation);
    chart_->setBackgroundVisible(false);
    chart_->setMargins({});
    chart_->legend()->hide();
    if (has_times) {
        time_ = madeAxis(theme);
        time_->setGridLineVisible(false);
        chart_->addAxis(time_, Qt::AlignBottom);
    }
    chart_->addAxis(left_, Qt::AlignLeft);
    // Axes need a series to hang on; the traces themselves are drawn by a PaneItem.
    auto* const series = new QLineSeries;
    chart_->addSeries(series);
    if (has_times) {
        series->attachAxis(time_);
    }
    series->attachAxis(left_);
    if (has_right_axis) {
        right_ = madeAxis(theme);
        right_->setGridLineVisible(false);
        chart_->addAxis(right_, Qt::AlignRight);
        auto* const right_series = new QLineSeries;
        chart_->addSeries(right_series);
        right_series->attachAxis(right_);
    }
    chart_->setMinimumSize(1.0, 1.0); // else a chart is never lower than 200
    chart_->setZValue(layer::frame);
    scene.addItem(chart_);
}

void PaneFrame::layOut(const Box& area, const Range& shown_s, const PaneView& view) {
    if (area == area_ && shown_s == shown_s_ && view == view_) {
        return;
    }
    const bool first = area_ == Box{};
    const int most_ticks = std::clamp(static_cast<int>(area.height() / 17.0), 3, 9);
    const TimeAxis time = timeAxis(shown_s, mostTimeTicks(area.width()));
    steps_.time = time.step_s;
    if (time_ != nullptr) {
        look(*time_, shown_s, time.step_s, time.unit_s);
    }
    if (first || view != view_ || area.height() != area_.height()) {
        steps_.left = roundStep(view.range, most_ticks);
        look(*left_, view.range, steps_.left, 1.0);
        if (right_ != nullptr && view.right_range) {
            steps_.right = roundStep(*view.right_range, most_ticks);
            look(*right_, *view.right_range, steps_.right, 1.0);
        }
    }
    if (first || area != area_) {
        const QRectF rect = rectOf(area);
        chart_->setGeometry(first ? rect.adjusted(-60.0, -20.0, 60.0, 40.0)
                                  : chart_->geometry().adjusted(area.left - area_.left, area.top - area_.top,
                                                                area.right - area_.right, area.bottom - area_.bottom));
    }
    place(*chart_, rectOf(area));
    area_ = area;
    shown_s_ = shown_s;
    view_ = view;
}

void PaneFrame::drawMarks(Sheet& sheet) const {
    constexpr double length = 4.0;
    const QPen pen(theme_.frame, 1.0);
    const QPen grid(theme_.grid, 1.0);
    sheet.frame(area_);
    const double unit_s = timeAxis(shown_s_, mostTimeTicks(area_.width())).unit_s;
    for (const double time_s : ticks(shown_s_, steps_.time)) {
        const double x = area_.left + (time_s - shown_s_.low) / shown_s_.width() * area_.width();
        sheet.line({.x = x, .y = area_.bottom}, {.x = x, .y = area_.bottom + length}, pen, layer::pole);
        sheet.line({.x = x, .y = area_.top}, {.x = x, .y = area_.bottom}, grid, layer::frame);
        if (time_ != nullptr) {
            sheet.text(numberText(time_s / unit_s, steps_.time / unit_s), {.x = x, .y = area_.bottom + 11.5},
                       drawingFont(small_text), Align::centre);
        }
    }
    const QFont font = drawingFont(small_text);
    const auto across = [&](const Range& range, double step, double edge, double direction, Align align) {
        for (const double value : ticks(range, step)) {
            const double y = area_.bottom - (value - range.low) / range.width() * area_.height();
            sheet.line({.x = edge, .y = y}, {.x = edge + direction * length, .y = y}, pen, layer::pole);
            sheet.text(numberText(value, step), {.x = edge + direction * (length + 2.0), .y = y}, font, align);
        }
    };
    across(view_.range, steps_.left, area_.left, -1.0, Align::right);
    if (view_.right_range) {
        across(*view_.right_range, steps_.right, area_.right, 1.0, Align::left);
    }
}

} // namespace potwatch::report
