// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_marks.h"

#include "app/report/drawing.h"
#include "app/report/plot_margin.h"

#include <QPen>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

// What is left out in as many words as there is room for beside the arrow: "trace continues to 2 h", "to 2 h", or none.
std::string asLongAsFits(const std::string& words, const QFont& font, double room) {
    const double arrow = Sheet::widthOf("\u2192 ", font);
    if (Sheet::widthOf(words, font) + arrow <= room) {
        return words;
    }
    for (const std::string_view longer : {"trace continues ", "trace starts "}) {
        if (words.starts_with(longer) && Sheet::widthOf(words.substr(longer.size()), font) + arrow <= room) {
            return words.substr(longer.size());
        }
    }
    return {}; // the arrow says that there is more
}

void drawAxisWords(Sheet& sheet, const PlotContent& content, const PlotLayout& layout) {
    const QFont font = drawingFont(small_text);
    const Box& lowest = layout.areas.back();
    const double y = lowest.bottom + 32.0;
    const TimeAxis time = timeAxis(layout.shown_s, 3);
    const LeftOut left_out = leftOut(content, layout.shown_s);
    sheet.text(fmt::format("time, {}", time.unit), {.x = 0.5 * (lowest.left + lowest.right), .y = y}, font,
               Align::centre);
    const double room = 0.5 * lowest.width() - 36.0;
    if (!left_out.before.empty()) {
        sheet.text(Sheet::fitted("\u2190 " + asLongAsFits(left_out.before, font, room), font, room),
                   {.x = lowest.left, .y = y}, font);
    }
    if (!left_out.after.empty()) {
        sheet.text(Sheet::fitted(asLongAsFits(left_out.after, font, room) + " \u2192", font, room),
                   {.x = lowest.right, .y = y}, font, Align::right);
    }
}

void drawShade(Sheet& sheet, const Shade& shade, const PlotLayout& layout) {
    const Box& area = layout.areas.front();
    if (shade.to_s < layout.shown_s.low || shade.from_s > layout.shown_s.high) {
        return;
    }
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

void drawEvents(Sheet& sheet, const PlotLayout& layout) {
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

// A line between two arrow heads, or between two from outside where it is short; no head at an end that is cut off.
void drawDimension(Sheet& sheet, const Extent& line, double y, bool from_seen, bool to_seen) {
    constexpr double arrows_inside_from = 24.0;
    constexpr double outside = 16.0;
    const QPen pen(sheet.theme().ink, 0.8);
    const Point from{.x = line.from, .y = y};
    const Point to{.x = line.to, .y = y};
    const bool inside = to.x - from.x >= arrows_inside_from;
    sheet.line(from, to, pen, layer::mark);
    if (from_seen) {
        if (!inside) {
            sheet.line({.x = from.x - outside, .y = y}, from, pen, layer::mark);
        }
        sheet.arrow(from, inside ? -1.0 : 1.0);
    }
    if (to_seen) {
        if (!inside) {
            sheet.line(to, {.x = to.x + outside, .y = y}, pen, layer::mark);
        }
        sheet.arrow(to, inside ? 1.0 : -1.0);
    }
}

void drawSpans(Sheet& sheet, const PlotLayout& layout) {
    for (const LaidSpan& span : layout.spans) {
        drawDimension(sheet, span.line, span.y, span.from_seen, span.to_seen);
        sheet.text(span.text, span.text_at, drawingFont(small_text), span.text_inside ? Align::centre : Align::left,
                   true);
    }
}

// Thin lines from the dimension lines down to the points they measure.
void drawExtensions(Sheet& sheet, const PlotLayout& layout, const std::vector<Point>& anchors) {
    constexpr double same_place = 0.6;
    const QPen pen(sheet.theme().frame, 0.7);
    const auto draw = [&](double x, double top) {
        double down_to = layout.areas.front().top;
        for (const Point& anchor : anchors) {
            if (std::abs(anchor.x - x) < same_place) {
                down_to = std::max(down_to, anchor.y);
            }
        }
        sheet.line({.x = x, .y = top}, {.x = x, .y = down_to}, pen, layer::pole);
    };
    for (const LaidSpan& span : layout.spans) {
        if (span.from_seen) {
            draw(span.line.from, span.y - 5.0);
        }
        if (span.to_seen) {
            draw(span.line.to, span.y - 5.0);
        }
    }
}

std::vector<ShownPin> drawPins(Sheet& sheet, const PlotContent& content, const PlotView& view, const PlotLayout& layout,
                               std::span<const Polyline> trace, std::size_t count) {
    std::vector<ShownPin> shown;
    std::vector<Point> anchors;
    for (std::size_t i = 0; i < count; ++i) {
        const Pin& pin = content.pins[i];
        if (layout.shows(pin.time_s)) {
            anchors.push_back({.x = layout.xOf(pin.time_s), .y = yOf(pin.temperature_c, view, layout, 0)});
            shown.push_back({.pin = i, .anchor = anchors.back(), .place = {}});
        }
    }
    std::vector<double> verticals;
    for (const LaidEvent& event : layout.events) {
        verticals.push_back(event.x);
    }
    for (const LaidSpan& span : layout.spans) {
        verticals.push_back(span.line.from);
        verticals.push_back(span.line.to);
    }
    drawExtensions(sheet, layout, anchors);
    const std::vector<Point> places = placedPins(anchors, {.bounds = layout.areas.front(),
                                                           .radius = pin_radius,
                                                           .clear_of_trace = pin_radius + 3.0,
                                                           .trace = trace,
                                                           .verticals = verticals});
    for (std::size_t i = 0; i < shown.size(); ++i) {
        const Pin& pin = content.pins[shown[i].pin];
        shown[i].place = places[i];
        sheet.line(anchors[i], places[i], QPen(sheet.theme().ink, 0.9), layer::mark);
        sheet.dot(anchors[i]);
        sheet.pin(places[i], pin.number, pin_radius, pin.by_hand);
    }
    return shown;
}

// Words of an annotation within the plot area: `at` is the middle of their left edge, or of all where centred.
Box drawWords(Sheet& sheet, const std::string& words, Point at, bool centred, const Box& area) {
    constexpr double air = 3.0;
    constexpr double half_line = 0.5 * line_height;
    if (words.empty()) {
        return {.left = at.x, .top = at.y, .right = at.x, .bottom = at.y};
    }
    const QFont font = drawingFont(small_text);
    const std::string fitted = Sheet::fitted(words, font, area.width() - 2.0 * air);
    const double width = Sheet::widthOf(fitted, font);
    const double left = std::clamp(centred ? at.x - 0.5 * width : at.x, area.left + air,
                                   std::max(area.left + air, area.right - air - width));
    const double y = std::clamp(at.y, area.top + half_line, std::max(area.top + half_line, area.bottom - half_line));
    sheet.text(fitted, {.x = left, .y = y}, font, Align::left, true);
    return {.left = left, .top = y - half_line, .right = left + width, .bottom = y + half_line};
}

// Where a line from the middle of a box towards a point leaves the box.
Point leaving(const Box& box, Point towards) {
    const Point middle{.x = 0.5 * (box.left + box.right), .y = 0.5 * (box.top + box.bottom)};
    const double dx = towards.x - middle.x;
    const double dy = towards.y - middle.y;
    double t = 1.0;
    if (dx != 0.0) {
        t = std::min(t, (0.5 * box.width() + 3.0) / std::abs(dx));
    }
    if (dy != 0.0) {
        t = std::min(t, (0.5 * box.height() + 1.0) / std::abs(dy));
    }
    return {.x = middle.x + t * dx, .y = middle.y + t * dy};
}

std::optional<ShownAnnotation> drawText(Sheet& sheet, const Annotation& annotation, Point at, const Box& area) {
    if (!area.contains(at)) {
        return std::nullopt;
    }
    return ShownAnnotation{
        .annotation = 0, .at = at, .to = at, .text = drawWords(sheet, annotation.text, at, false, area)};
}

std::optional<ShownAnnotation> drawArrow(Sheet& sheet, const Annotation& annotation, Point tip, Point from,
                                         const Box& area) {
    if (!area.contains(tip) && !area.contains(from)) {
        return std::nullopt;
    }
    ShownAnnotation shown{.annotation = 0, .at = tip, .to = from, .text = {}};
    Point start = from;
    if (area.contains(from)) {
        shown.text = drawWords(sheet, annotation.text, from, true, area);
        start = annotation.text.empty() ? from : leaving(shown.text, tip);
    }
    for (const Polyline& part : clipped({start, tip}, area)) {
        if (part.size() > 1) {
            sheet.line(part.front(), part.back(), QPen(sheet.theme().ink, 1.1), layer::mark);
        }
    }
    if (area.contains(tip)) {
        sheet.arrowAlong(start, tip);
    }
    return shown;
}

std::optional<ShownAnnotation> drawSpan(Sheet& sheet, const Annotation& annotation, Point at, double to_x,
                                        const Box& area) {
    const Extent whole{.from = std::min(at.x, to_x), .to = std::max(at.x, to_x)};
    if (whole.to < area.left || whole.from > area.right || at.y < area.top || at.y > area.bottom) {
        return std::nullopt;
    }
    const Extent seen{.from = std::max(whole.from, area.left), .to = std::min(whole.to, area.right)};
    const bool from_seen = whole.from >= area.left;
    const bool to_seen = whole.to <= area.right;
    drawDimension(sheet, seen, at.y, from_seen, to_seen);
    constexpr double half_tick = 6.0;
    const QPen pen(sheet.theme().ink, 0.8);
    for (const auto& [x, is_seen] : {std::pair{seen.from, from_seen}, std::pair{seen.to, to_seen}}) {
        if (is_seen) {
            sheet.line({.x = x, .y = std::max(area.top, at.y - half_tick)},
                       {.x = x, .y = std::min(area.bottom, at.y + half_tick)}, pen, layer::mark);
        }
    }
    const double above = at.y - 9.0 - 0.5 * line_height < area.top ? 10.0 : -9.0;
    return ShownAnnotation{
        .annotation = 0,
        .at = at,
        .to = {.x = to_x, .y = at.y},
        .text = drawWords(sheet, annotation.text, {.x = 0.5 * (seen.from + seen.to), .y = at.y + above}, true, area)};
}

std::vector<ShownAnnotation> drawAnnotations(Sheet& sheet, const PlotContent& content, const PlotView& view,
                                             const PlotLayout& layout) {
    std::vector<ShownAnnotation> all;
    for (std::size_t i = 0; i < content.annotations.size(); ++i) {
        const Annotation& annotation = content.annotations[i];
        const std::optional<std::size_t> pane = paneIndex(content, annotation.pane);
        const bool placed = std::isfinite(annotation.time_s) && std::isfinite(annotation.value) &&
                            std::isfinite(annotation.to_time_s) && std::isfinite(annotation.to_value);
        if (!pane || !placed) {
            continue;
        }
        const Box& area = layout.areas[*pane];
        const Point at{.x = layout.xOf(annotation.time_s), .y = yOf(annotation.value, view, layout, *pane)};
        std::optional<ShownAnnotation> shown;
        switch (annotation.kind) {
        case AnnotationKind::text:
            shown = drawText(sheet, annotation, at, area);
            break;
        case AnnotationKind::arrow:
            shown = drawArrow(
                sheet, annotation, at,
                {.x = layout.xOf(annotation.to_time_s), .y = yOf(annotation.to_value, view, layout, *pane)}, area);
            break;
        case AnnotationKind::span:
            shown = drawSpan(sheet, annotation, at, layout.xOf(annotation.to_time_s), area);
            break;
        }
        if (shown) {
            shown->annotation = i;
            all.push_back(*shown);
        }
    }
    return all;
}

} // namespace

double yOf(double value, const PlotView& view, const PlotLayout& layout, std::size_t pane) {
    const Range& range = view.panes[pane].range;
    return layout.areas[pane].bottom - (value - range.low) / range.width() * layout.areas[pane].height();
}

double valueOf(double y, const PlotView& view, const PlotLayout& layout, std::size_t pane) {
    const Range& range = view.panes[pane].range;
    return range.low + (layout.areas[pane].bottom - y) / layout.areas[pane].height() * range.width();
}

std::optional<std::size_t> paneIndex(const PlotContent& content, PaneKind kind) {
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        if (content.panes[i].kind == kind) {
            return i;
        }
    }
    return std::nullopt;
}

ShownMarks drawMarks(Sheet& sheet, const PlotContent& content, const PlotView& view, const PlotLayout& layout,
                     std::span<const Polyline> trace, std::size_t pins) {
    if (content.boil_plateau) {
        drawShade(sheet, *content.boil_plateau, layout);
    }
    drawAxisWords(sheet, content, layout);
    drawEvents(sheet, layout);
    ShownMarks shown;
    shown.pins = drawPins(sheet, content, view, layout, trace, pins);
    drawSpans(sheet, layout);
    shown.annotations = drawAnnotations(sheet, content, view, layout);
    return shown;
}

void drawHighlight(Sheet& sheet, const PlotContent& content, const PlotLayout& layout, const Highlight& highlight) {
    constexpr double least_half_width = 4.0; // a moment is as wide as this to either side
    const std::optional<std::size_t> pane = paneIndex(content, highlight.pane);
    if (!pane || highlight.time_s.high < layout.shown_s.low || highlight.time_s.low > layout.shown_s.high) {
        return;
    }
    const Box& area = layout.areas[*pane];
    double from = layout.xOf(highlight.time_s.low);
    double to = layout.xOf(highlight.time_s.high);
    if (to - from < 2.0 * least_half_width) {
        const double middle = 0.5 * (from + to);
        from = middle - least_half_width;
        to = middle + least_half_width;
    }
    const Box box{
        .left = std::max(from, area.left), .top = area.top, .right = std::min(to, area.right), .bottom = area.bottom};
    QColor colour = sheet.theme().highlight;
    colour.setAlphaF(0.32F);
    sheet.area({{.x = box.left, .y = box.top},
                {.x = box.right, .y = box.top},
                {.x = box.right, .y = box.bottom},
                {.x = box.left, .y = box.bottom}},
               colour, layer::shade);
    const QPen edge(sheet.theme().ink, 1.2);
    for (const double x : {from, to}) {
        if (x >= area.left && x <= area.right) {
            sheet.line({.x = x, .y = area.top}, {.x = x, .y = area.bottom}, edge, layer::pole);
        }
    }
}

} // namespace potwatch::report
