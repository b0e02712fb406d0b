// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_scene.h"

#include "app/report/drawing.h"
#include "app/report/pane_item.h"
#include "app/report/plot_layout.h"
#include "app/report/sheet.h"

#include <QBrush>
#include <QChart>
#include <QGraphicsLayout>
#include <QLegend>
#include <QLineSeries>
#include <QPen>
#include <QValueAxis>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace potwatch::report {
namespace {

constexpr double pin_radius = 8.5;
constexpr double columns_per_unit = 2.0;

QRectF rectOf(const Box& box) {
    return {QPointF(box.left, box.top), QPointF(box.right, box.bottom)};
}

QValueAxis* valueAxis(const Range& range, double step, double unit, const Theme& theme) {
    auto* const axis = new QValueAxis;
    axis->setRange(range.low / unit, range.high / unit);
    axis->setTickType(QValueAxis::TicksDynamic);
    axis->setTickAnchor(0.0);
    axis->setTickInterval(step / unit);
    axis->setLabelFormat(QString::fromStdString(fmt::format("%.{}f", decimalsOfStep(step / unit))));
    axis->setLabelsFont(drawingFont(small_text));
    axis->setLabelsBrush(theme.ink);
    axis->setLineVisible(false); // drawn with the frame: Qt's own lies half a unit beside it
    axis->setGridLinePen(QPen(theme.grid, 1.0));
    axis->setTruncateLabels(false);
    return axis;
}

// Puts a chart where its plot area becomes that rectangle. QChart::setPlotArea() moves the series alone and leaves
// frame, grid and labels behind, so the chart itself is sized by what its axes take up around the plot area.
void place(QChart& chart, const QRectF& area) {
    constexpr int most_rounds = 4;
    chart.setMinimumSize(1.0, 1.0); // else a chart is never lower than 200
    chart.setGeometry(area.adjusted(-60.0, -20.0, 60.0, 40.0));
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

// What lies between two ticks of each axis.
struct TickSteps {
    double time = 1.0;
    double left = 1.0;
    double right = 0.0;
};

// The frame of one pane with its tick marks, over the grid, which would break it.
void addFrame(Sheet& sheet, const Box& area, const Range& shown_s, const Pane& pane, const TickSteps& steps) {
    constexpr double length = 4.0;
    const QPen pen(sheet.theme().frame, 1.0);
    sheet.frame(area);
    for (const double time_s : ticks(shown_s, steps.time)) {
        const double x = area.left + (time_s - shown_s.low) / shown_s.width() * area.width();
        sheet.line({.x = x, .y = area.bottom}, {.x = x, .y = area.bottom + length}, pen, layer::pole);
    }
    const auto across = [&](const Range& range, double step, double from, double to) {
        for (const double value : ticks(range, step)) {
            const double y = area.bottom - (value - range.low) / range.width() * area.height();
            sheet.line({.x = from, .y = y}, {.x = to, .y = y}, pen, layer::pole);
        }
    };
    across(pane.range, steps.left, area.left - length, area.left);
    if (pane.right_range) {
        across(*pane.right_range, steps.right, area.right, area.right + length);
    }
}

// The grid and the numbers of one pane.
void addChart(Sheet& sheet, const Pane& pane, const PlotContent& content, const PlotLayout& layout, std::size_t index) {
    const Theme& theme = sheet.theme();
    const Box& area = layout.areas[index];
    const bool lowest = index + 1 == layout.areas.size();
    auto* const chart = new QChart;
    chart->setAnimationOptions(QChart::NoAnimation);
    chart->setBackgroundVisible(false);
    chart->setMargins({});
    chart->legend()->hide();

    const TimeAxis time = timeAxis(content.shown_s, std::max(3, static_cast<int>(area.width() / 74.0)));
    auto* const x = valueAxis(content.shown_s, time.step_s, time.unit_s, theme);
    x->setLabelsVisible(lowest);
    const int most_ticks = std::clamp(static_cast<int>(area.height() / 17.0), 3, 9);
    const double left_step = roundStep(pane.range, most_ticks);
    auto* const y = valueAxis(pane.range, left_step, 1.0, theme);
    chart->addAxis(x, Qt::AlignBottom);
    chart->addAxis(y, Qt::AlignLeft);
    // Axes need a series to hang on; the traces themselves are drawn by a PaneItem.
    auto* const series = new QLineSeries;
    chart->addSeries(series);
    series->attachAxis(x);
    series->attachAxis(y);
    double right_step = 0.0;
    if (pane.right_range) {
        right_step = roundStep(*pane.right_range, most_ticks);
        auto* const right = valueAxis(*pane.right_range, right_step, 1.0, theme);
        right->setGridLineVisible(false);
        chart->addAxis(right, Qt::AlignRight);
        auto* const right_series = new QLineSeries;
        chart->addSeries(right_series);
        right_series->attachAxis(x);
        right_series->attachAxis(right);
    }
    chart->setZValue(layer::frame);
    sheet.scene().addItem(chart);
    place(*chart, rectOf(area));
    addFrame(sheet, area, content.shown_s, pane, {.time = time.step_s, .left = left_step, .right = right_step});
}

void addAxisWords(Sheet& sheet, const PlotContent& content, const PlotLayout& layout) {
    const QFont font = drawingFont(small_text);
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        const Box& area = layout.areas[i];
        const double middle = 0.5 * (area.top + area.bottom);
        sheet.uprightText(content.panes[i].title, {.x = area.left - 54.0, .y = middle}, font);
        if (content.panes[i].right_range) {
            sheet.uprightText(content.panes[i].right_title, {.x = area.right + 46.0, .y = middle}, font);
        }
    }
    const Box& lowest = layout.areas.back();
    const double y = lowest.bottom + 32.0;
    const TimeAxis time = timeAxis(content.shown_s, 3);
    sheet.text(fmt::format("time, {}", time.unit), {.x = 0.5 * (lowest.left + lowest.right), .y = y}, font,
               Align::centre);
    if (!content.before.empty()) {
        sheet.text("\u2190 " + content.before, {.x = lowest.left, .y = y}, font);
    }
    if (!content.after.empty()) {
        sheet.text(content.after + " \u2192", {.x = lowest.right, .y = y}, font, Align::right);
    }
}

void addShade(Sheet& sheet, const Shade& shade, const PlotLayout& layout) {
    const Box& area = layout.areas.front();
    const Box box{.left = std::max(area.left, layout.xOf(shade.from_s)),
                  .top = area.top,
                  .right = std::min(area.right, std::max(layout.xOf(shade.to_s), layout.xOf(shade.from_s) + 1.0)),
                  .bottom = area.bottom};
    QColor tint = sheet.theme().plateau;
    tint.setAlphaF(0.10F);
    sheet.area({{.x = box.left, .y = box.top},
                {.x = box.right, .y = box.top},
                {.x = box.right, .y = box.bottom},
                {.x = box.left, .y = box.bottom}},
               tint, layer::shade);
    constexpr double spacing = 9.0;
    QColor hatch = sheet.theme().plateau;
    hatch.setAlphaF(0.45F);
    for (double x = box.left - box.height(); x < box.right; x += spacing) {
        for (const Polyline& part : clipped({{.x = x, .y = box.bottom}, {.x = x + box.height(), .y = box.top}}, box)) {
            if (part.front() != part.back()) { // a corner touched is no line
                sheet.line(part.front(), part.back(), QPen(hatch, 0.8), layer::shade);
            }
        }
    }
}

void addEvents(Sheet& sheet, const PlotLayout& layout) {
    QPen pen(sheet.theme().frame, 1.0);
    pen.setDashPattern({1.5, 3.0});
    for (const LaidEvent& event : layout.events) {
        sheet.line({.x = event.x, .y = event.y - 7.0}, {.x = event.x, .y = layout.areas.back().bottom}, pen,
                   layer::pole);
        if (!event.text.empty()) {
            sheet.text(event.text, {.x = event.x + 4.0, .y = event.y}, drawingFont(small_text));
        }
    }
}

void addSpans(Sheet& sheet, const PlotLayout& layout) {
    constexpr double arrows_inside_from = 24.0;
    constexpr double outside = 16.0;
    const QPen pen(sheet.theme().ink, 0.8);
    for (const LaidSpan& span : layout.spans) {
        const Point from{.x = span.line.from, .y = span.y};
        const Point to{.x = span.line.to, .y = span.y};
        const bool inside = to.x - from.x >= arrows_inside_from;
        sheet.line(from, to, pen, layer::mark);
        if (!inside) {
            sheet.line({.x = from.x - outside, .y = span.y}, from, pen, layer::mark);
            sheet.line(to, {.x = to.x + outside, .y = span.y}, pen, layer::mark);
        }
        sheet.arrow(from, inside ? -1.0 : 1.0);
        sheet.arrow(to, inside ? 1.0 : -1.0);
        sheet.text(span.text, span.text_at, drawingFont(small_text), span.text_inside ? Align::centre : Align::left,
                   true);
    }
}

// Thin lines from the dimension lines down to the points they measure.
void addExtensions(Sheet& sheet, const PlotLayout& layout, const std::vector<Point>& anchors) {
    constexpr double same_place = 0.6;
    const QPen pen(sheet.theme().frame, 0.7);
    for (const LaidSpan& span : layout.spans) {
        for (const double x : {span.line.from, span.line.to}) {
            double down_to = layout.areas.front().top;
            for (const Point& anchor : anchors) {
                if (std::abs(anchor.x - x) < same_place) {
                    down_to = std::max(down_to, anchor.y);
                }
            }
            sheet.line({.x = x, .y = span.y - 5.0}, {.x = x, .y = down_to}, pen, layer::pole);
        }
    }
}

void addPins(Sheet& sheet, const PlotContent& content, const PlotLayout& layout, const PaneItem& temperature,
             std::size_t count) {
    const Box& area = layout.areas.front();
    const Range& range = content.panes.front().range;
    std::vector<Point> anchors;
    for (std::size_t i = 0; i < count; ++i) {
        const Pin& pin = content.pins[i];
        anchors.push_back({.x = layout.xOf(pin.time_s),
                           .y = area.bottom - (pin.temperature_c - range.low) / range.width() * area.height()});
    }
    std::vector<double> verticals;
    for (const LaidEvent& event : layout.events) {
        verticals.push_back(event.x);
    }
    for (const LaidSpan& span : layout.spans) {
        verticals.push_back(span.line.from);
        verticals.push_back(span.line.to);
    }
    addExtensions(sheet, layout, anchors);
    const std::vector<Point> places = placedPins(anchors, {.bounds = area,
                                                           .radius = pin_radius,
                                                           .clear_of_trace = pin_radius + 3.0,
                                                           .trace = temperature.temperatureLines(),
                                                           .verticals = verticals});
    for (std::size_t i = 0; i < count; ++i) {
        sheet.line(anchors[i], places[i], QPen(sheet.theme().ink, 0.9), layer::mark);
        sheet.dot(anchors[i]);
        sheet.pin(places[i], content.pins[i].number, pin_radius);
    }
}

// A piece of the trace as it is drawn, with its band behind it.
void addKey(Sheet& sheet, const Pane& pane, const PaneTrace& trace, Point at) {
    constexpr double length = 26.0;
    constexpr double half_height = 4.5;
    const Theme& theme = sheet.theme();
    const auto box = [&](double above, double below) {
        return Polyline{{.x = at.x, .y = at.y - above},
                        {.x = at.x + length, .y = at.y - above},
                        {.x = at.x + length, .y = at.y + below},
                        {.x = at.x, .y = at.y + below}};
    };
    for (const PaneBand& band : pane.bands) {
        if (band.of == trace.style) {
            sheet.area(box(half_height, half_height), areaColour(trace.style, true, theme), layer::trace);
        }
    }
    const QPen pen = tracePen(trace.style, theme);
    if (trace.style == TraceStyle::heat_flow) {
        sheet.area(box(half_height, half_height), areaColour(trace.style, false, theme), layer::trace);
        sheet.line({.x = at.x, .y = at.y - half_height}, {.x = at.x + length, .y = at.y - half_height}, pen,
                   layer::trace);
    } else if (trace.style == TraceStyle::degree) {
        const double third = length / 3.0;
        for (int i = 0; i < 3; ++i) {
            const double y = at.y + 3.0 - 3.0 * i;
            sheet.line({.x = at.x + third * i, .y = y}, {.x = at.x + third * (i + 1), .y = y}, pen, layer::trace);
            if (i > 0) {
                sheet.line({.x = at.x + third * i, .y = y + 3.0}, {.x = at.x + third * i, .y = y}, pen, layer::trace);
            }
        }
    } else {
        sheet.line(at, {.x = at.x + length, .y = at.y}, pen, layer::trace);
    }
    sheet.text(trace.label, {.x = at.x + length + 8.0, .y = at.y}, drawingFont(small_text));
}

// The words of one pin, as many lines as there is room for.
std::vector<std::string> pinLines(const Pin& pin, int detail) {
    if (detail == 0) {
        return {pin.line};
    }
    if (detail == 1 && pin.lines.size() > 2) {
        return {pin.lines[0], pin.lines[1]};
    }
    return pin.lines;
}

// The margin beside the temperature: key, landmarks, plateau. Returns how many pins have their words there; no more are
// drawn.
std::size_t addTemperatureMargin(Sheet& sheet, const PlotContent& content, const PlotLayout& layout) {
    constexpr double pin_gap = 5.0;
    constexpr double words_indent = 24.0;
    const QFont font = drawingFont(small_text);
    const Box& area = layout.areas.front();
    const double left = layout.margin_left;
    const double width = layout.margin_right - left;
    double y = area.top + 8.0;
    for (const PaneTrace& trace : content.panes.front().traces) {
        addKey(sheet, content.panes.front(), trace, {.x = left, .y = y});
        y += line_height;
    }
    std::vector<std::string> last_lines;
    if (layout.events_without_words > 0) {
        last_lines.push_back(fmt::format("{} events more: words in the report", layout.events_without_words));
    }
    y += pin_gap;
    const double room = area.bottom - y - line_height * static_cast<double>(last_lines.size()) + 0.5 * line_height;
    const auto heightOf = [&](int detail) {
        double height = 0.0;
        for (const Pin& pin : content.pins) {
            height += line_height * static_cast<double>(pinLines(pin, detail).size()) + (detail == 0 ? 3.0 : pin_gap);
        }
        return height;
    };
    int detail = 2;
    while (detail > 0 && heightOf(detail) > room) {
        --detail;
    }
    const double gap = detail == 0 ? 3.0 : pin_gap;
    std::size_t written = content.pins.size();
    if (heightOf(detail) > room) {
        const double lines = std::max(0.0, std::floor((room - line_height) / (line_height + gap)));
        written = std::min(written, static_cast<std::size_t>(lines));
        last_lines.push_back(fmt::format("{} landmarks more: in the report", content.pins.size() - written));
    }
    for (std::size_t i = 0; i < written; ++i) {
        const Pin& pin = content.pins[i];
        sheet.pin({.x = left + pin_radius, .y = y}, pin.number, pin_radius);
        bool first = true;
        for (const std::string& line : pinLines(pin, detail)) {
            const QFont weight = drawingFont(small_text, first && detail > 0);
            sheet.text(Sheet::fitted(line, weight, width - words_indent), {.x = left + words_indent, .y = y}, weight);
            y += line_height;
            first = false;
        }
        y += gap;
    }
    for (const std::string& line : last_lines) {
        sheet.text(Sheet::fitted(line, font, width), {.x = left, .y = y}, font);
        y += line_height;
    }
    return written;
}

void addMargin(Sheet& sheet, const Pane& pane, const Box& area, double left, double right) {
    const QFont font = drawingFont(small_text);
    double y = area.top + 7.0;
    for (const PaneTrace& trace : pane.traces) {
        addKey(sheet, pane, trace, {.x = left, .y = y});
        y += line_height;
    }
    for (const std::string& note : pane.notes) {
        sheet.text(Sheet::fitted(note, font, right - left - 34.0), {.x = left + 34.0, .y = y}, font);
        y += line_height;
    }
}

void addTitleAndFoot(Sheet& sheet, const PlotContent& content, const PlotLayout& layout) {
    const double left = 14.0;
    const double right = layout.margin_right;
    const double bottom = layout.page.height();
    const QFont title = drawingFont(18.0, true);
    const QFont foot = drawingFont(10.0);
    sheet.text(Sheet::fitted(content.title, title, right - left), {.x = left, .y = 24.0}, title);
    sheet.line({.x = left, .y = bottom - 40.0}, {.x = right, .y = bottom - 40.0}, QPen(sheet.theme().frame, 0.6),
               layer::mark);
    sheet.text(Sheet::fitted(content.foot, foot, right - left), {.x = left, .y = bottom - 28.0}, foot);
    sheet.text(Sheet::fitted(content.note, foot, right - left), {.x = left, .y = bottom - 13.0}, foot);
}

} // namespace

std::unique_ptr<QGraphicsScene> plotScene(const PlotContent& content, QSizeF page, const Theme& theme) {
    auto scene = std::make_unique<QGraphicsScene>(QRectF(QPointF(0.0, 0.0), page));
    scene->setItemIndexMethod(QGraphicsScene::NoIndex);
    scene->setBackgroundBrush(theme.ground);
    Sheet sheet(*scene, theme);
    const PlotLayout layout = plotLayout(content, page);
    addTitleAndFoot(sheet, content, layout);
    if (content.panes.empty()) {
        sheet.text("This run has no temperature that could be drawn.",
                   {.x = 0.5 * page.width(), .y = 0.5 * page.height()}, drawingFont(14.0), Align::centre);
        return scene;
    }
    if (content.boil_plateau) {
        addShade(sheet, *content.boil_plateau, layout);
    }
    std::vector<PaneItem*> items;
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        addChart(sheet, content.panes[i], content, layout, i);
        auto* const item = new PaneItem(content.panes[i], content.time_s, theme);
        item->layOut(layout.areas[i], content.shown_s, columns_per_unit);
        item->setZValue(layer::trace);
        scene->addItem(item);
        items.push_back(item);
        if (i > 0) {
            addMargin(sheet, content.panes[i], layout.areas[i], layout.margin_left, layout.margin_right);
        }
    }
    addAxisWords(sheet, content, layout);
    addEvents(sheet, layout);
    const std::size_t written = addTemperatureMargin(sheet, content, layout);
    addPins(sheet, content, layout, *items.front(), written);
    addSpans(sheet, layout);
    return scene;
}

} // namespace potwatch::report
