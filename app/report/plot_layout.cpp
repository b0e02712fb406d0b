// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_layout.h"

#include "app/report/drawing.h"
#include "app/report/sheet.h"

#include <QFont>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

constexpr double edge = 14.0; // free at the page's edge
constexpr double left_axis = 72.0;
constexpr double right_axis = 62.0;
constexpr double margin_width = 232.0;
constexpr double title_height = 44.0;
constexpr double no_title_height = 10.0;
constexpr double event_row = 16.0;
constexpr double span_row = 20.0;
constexpr double bottom_height = 90.0; // tick labels, axis title, two lines of foot
constexpr double pane_gap = 14.0;
constexpr double least_pane = 88.0;
constexpr double least_temperature = 150.0;
constexpr int most_event_rows = 8;

struct EventRows {
    std::vector<LaidEvent> events;
    int rows = 0;
    std::size_t without_words = 0;
};

EventRows layEvents(const PlotContent& content, const PlotLayout& layout) {
    constexpr double gap = 4.0;
    const QFont font = drawingFont(small_text);
    std::vector<double> poles;
    std::vector<Extent> extents;
    EventRows laid;
    for (const EventMark& event : content.events) {
        const double x = layout.xOf(event.time_s);
        const std::string text = Sheet::fitted(event.text, font, layout.page.width() - edge - x - gap);
        poles.push_back(x);
        extents.push_back({.from = x, .to = x + 2.0 * gap + Sheet::widthOf(text, font)});
        laid.events.push_back({.x = x, .y = 0.0, .text = text});
    }
    const std::vector<int> rows = flagRows(poles, extents);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (rows[i] >= most_event_rows) { // the line stays, the words are in the report
            laid.events[i].text.clear();
            ++laid.without_words;
        }
        laid.rows = std::max(laid.rows, std::min(rows[i] + 1, most_event_rows));
        laid.events[i].y = std::min(rows[i], most_event_rows - 1);
    }
    return laid;
}

struct SpanRows {
    std::vector<LaidSpan> spans;
    int rows = 0;
};

SpanRows laySpans(const PlotContent& content, const PlotLayout& layout) {
    constexpr double arrows_inside_from = 24.0;
    constexpr double arrow_outside = 16.0;
    const QFont font = drawingFont(small_text);
    SpanRows laid;
    std::vector<Extent> extents;
    for (const Span& span : content.spans) {
        const double from = layout.xOf(span.from_s);
        const double to = layout.xOf(span.to_s);
        const double width = Sheet::widthOf(span.text, font);
        LaidSpan one{
            .line = {.from = from, .to = to}, .y = 0.0, .text = span.text, .text_at = {}, .text_inside = false};
        const double outside = to - from < arrows_inside_from ? arrow_outside : 0.0;
        if (width + 2.0 * 12.0 <= to - from) {
            one.text_inside = true;
            one.text_at.x = 0.5 * (from + to);
            extents.push_back({.from = from, .to = to});
        } else if (to + outside + 6.0 + width <= layout.page.width() - edge) {
            one.text_at.x = to + outside + 6.0;
            extents.push_back({.from = from - outside, .to = one.text_at.x + width});
        } else {
            one.text_at.x = std::max(edge, from - outside - 6.0 - width);
            extents.push_back({.from = one.text_at.x, .to = to + outside});
        }
        laid.spans.push_back(one);
    }
    constexpr double chained = -0.5; // dimension lines that meet at a landmark share a row
    const std::vector<int> rows = packedRows(extents, chained);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        laid.spans[i].y = rows[i];
        laid.rows = std::max(laid.rows, rows[i] + 1);
    }
    return laid;
}

} // namespace

std::size_t marginLines(const Pane& pane) {
    return pane.traces.size() + pane.notes.size();
}

PlotLayout plotLayout(const PlotContent& content, QSizeF page) {
    PlotLayout layout{.page = page};
    layout.shown_s = content.shown_s;
    const bool right = std::any_of(content.panes.begin(), content.panes.end(),
                                   [](const Pane& pane) { return pane.right_range.has_value(); });
    layout.margin_right = page.width() - edge;
    layout.margin_left = layout.margin_right - margin_width;
    const double plot_right = std::floor(layout.margin_left) - (right ? right_axis : edge);
    layout.areas.push_back({.left = left_axis, .top = 0.0, .right = plot_right, .bottom = 0.0});

    EventRows events = layEvents(content, layout);
    SpanRows laid_spans = laySpans(content, layout);
    layout.events_without_words = events.without_words;
    const double events_bottom = (content.title.empty() ? no_title_height : title_height) + event_row * events.rows;
    for (LaidEvent& event : events.events) {
        event.y = events_bottom - event_row * (event.y + 0.5);
    }
    for (LaidSpan& span : laid_spans.spans) {
        const double row_top = events_bottom + 4.0 + span_row * span.y;
        span.y = row_top + 15.0;
        span.text_at.y = span.text_inside ? span.y - 8.0 : span.y;
    }
    layout.events = std::move(events.events);
    layout.spans = std::move(laid_spans.spans);

    const double top = events_bottom + 10.0 + span_row * laid_spans.rows;
    const double bottom = page.height() - bottom_height;
    double y = bottom;
    std::vector<Box> areas;
    for (std::size_t i = content.panes.size(); i-- > 0;) {
        const double lines = static_cast<double>(marginLines(content.panes[i]));
        const double height = std::ceil(std::max(least_pane, lines * line_height));
        const double pane_top = i == 0 ? std::min(top, y - least_temperature) : y - height;
        areas.push_back({.left = left_axis, .top = pane_top, .right = plot_right, .bottom = y});
        y = pane_top - pane_gap;
    }
    if (!areas.empty()) {
        layout.areas.assign(areas.rbegin(), areas.rend());
    }
    return layout;
}

} // namespace potwatch::report
