// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_layout.h"

#include "app/report/drawing.h"
#include "app/report/sheet.h"

#include <QFont>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

constexpr double left_axis = 72.0;
constexpr double right_axis = 62.0;
constexpr double title_height = 44.0;
constexpr double no_title_height = 10.0;
constexpr double event_row = 16.0;
constexpr double span_row = 20.0;
constexpr double bottom_height = 50.0; // tick labels, axis title
constexpr double foot_height = 40.0;   // two lines below
constexpr double pane_gap = 14.0;

// The column of words: a quarter of the page, between what its words need and what is enough for them; on a page that
// is very narrow the traces come first.
double marginWidth(double page_width) {
    constexpr double narrow_page = 480.0;
    return std::clamp(0.25 * page_width, page_width < narrow_page ? 168.0 : 204.0, 232.0);
}

int mostEventRows(double page_height) {
    return std::clamp(static_cast<int>(page_height / 100.0), 2, 8);
}

struct EventRows {
    std::vector<LaidEvent> events;
    int rows = 0;
    std::size_t without_words = 0;
};

EventRows layEvents(const PlotContent& content, const PlotLayout& layout) {
    constexpr double gap = 4.0;
    const QFont font = drawingFont(small_text);
    const int most_rows = mostEventRows(layout.page.size.height());
    std::vector<double> poles;
    std::vector<Extent> extents;
    EventRows laid;
    for (const EventMark& event : content.events) {
        if (!layout.shows(event.time_s)) {
            continue;
        }
        const double x = layout.xOf(event.time_s);
        const std::string text = Sheet::fitted(event.text, font, layout.margin_right - x - gap);
        poles.push_back(x);
        extents.push_back({.from = x, .to = x + 2.0 * gap + Sheet::widthOf(text, font)});
        laid.events.push_back({.x = x, .y = 0.0, .text = text});
    }
    const std::vector<int> rows = flagRows(poles, extents);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (rows[i] >= most_rows) { // the line stays, the words are in the report
            laid.events[i].text.clear();
            ++laid.without_words;
        }
        laid.rows = std::max(laid.rows, std::min(rows[i] + 1, most_rows));
        laid.events[i].y = std::min(rows[i], most_rows - 1);
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
    const Box& area = layout.areas.front();
    SpanRows laid;
    std::vector<Extent> extents;
    for (const Span& span : content.spans) {
        if (span.to_s < layout.shown_s.low || span.from_s > layout.shown_s.high) {
            continue;
        }
        const double from = std::max(layout.xOf(span.from_s), area.left);
        const double to = std::min(layout.xOf(span.to_s), area.right);
        const double width = Sheet::widthOf(span.text, font);
        LaidSpan one{.line = {.from = from, .to = to},
                     .from_seen = layout.shows(span.from_s),
                     .to_seen = layout.shows(span.to_s),
                     .y = 0.0,
                     .text = span.text,
                     .text_at = {},
                     .text_inside = false};
        const double outside = to - from < arrows_inside_from ? arrow_outside : 0.0;
        if (width + 2.0 * 12.0 <= to - from) {
            one.text_inside = true;
            one.text_at.x = 0.5 * (from + to);
            extents.push_back({.from = from, .to = to});
        } else if (to + outside + 6.0 + width <= layout.margin_right) {
            one.text_at.x = to + outside + 6.0;
            extents.push_back({.from = from - outside, .to = one.text_at.x + width});
        } else {
            one.text_at.x = std::max(page_edge, from - outside - 6.0 - width);
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

// Heights of the panes below the temperature: what their words need, less where the page is low.
std::vector<double> lowerHeights(const PlotContent& content, double room) {
    constexpr double part = 0.12; // of the room, each
    constexpr double least = 56.0;
    constexpr double least_temperature_part = 0.42;
    std::vector<double> heights;
    double sum = 0.0;
    for (std::size_t i = 1; i < content.panes.size(); ++i) {
        const double words = static_cast<double>(marginLines(content.panes[i])) * line_height;
        heights.push_back(std::ceil(std::max(std::max(part * room, 88.0), words)));
        sum += heights.back() + pane_gap;
    }
    const double most = (1.0 - least_temperature_part) * room;
    if (sum > most && !heights.empty()) {
        const double each = most / static_cast<double>(heights.size()) - pane_gap;
        std::fill(heights.begin(), heights.end(), std::max(least, std::floor(each)));
    }
    return heights;
}

} // namespace

std::size_t marginLines(const Pane& pane) {
    return pane.traces.size() + pane.notes.size();
}

PlotLayout plotLayout(const PlotContent& content, const PlotView& view, const PlotPage& page, const MarkRows& least) {
    PlotLayout layout{.page = page};
    layout.shown_s = view.shown_s;
    const bool right = std::any_of(content.panes.begin(), content.panes.end(),
                                   [](const Pane& pane) { return pane.right_range.has_value(); });
    layout.margin_right = page.size.width() - page_edge;
    layout.margin_left = layout.margin_right - marginWidth(page.size.width());
    const double plot_right =
        std::max(left_axis + 1.0, std::floor(layout.margin_left) - (right ? right_axis : page_edge));
    layout.areas.push_back({.left = left_axis, .top = 0.0, .right = plot_right, .bottom = 0.0});

    EventRows events = layEvents(content, layout);
    SpanRows laid_spans = laySpans(content, layout);
    layout.rows = {.events = std::max(events.rows, least.events), .spans = std::max(laid_spans.rows, least.spans)};
    layout.events_without_words = events.without_words;
    const bool title = page.title && !content.title.empty();
    const double events_bottom = page.strip + (title ? title_height : no_title_height) + event_row * layout.rows.events;
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

    constexpr double least_temperature = 60.0;
    const double top = events_bottom + 10.0 + span_row * layout.rows.spans;
    const double bottom = page.size.height() - bottom_height - (page.foot ? foot_height : 0.0);
    layout.margin_bottom = bottom + bottom_height - 10.0;
    const std::vector<double> heights = lowerHeights(content, bottom - top);
    double y = bottom;
    std::vector<Box> areas;
    for (std::size_t i = content.panes.size(); i-- > 0;) {
        const double pane_top = i == 0 ? std::min(top, y - least_temperature) : y - heights[i - 1];
        areas.push_back({.left = left_axis, .top = pane_top, .right = plot_right, .bottom = y});
        y = pane_top - pane_gap;
    }
    if (!areas.empty()) {
        layout.areas.assign(areas.rbegin(), areas.rend());
    }
    return layout;
}

PlotLayout plotLayout(const PlotContent& content, QSizeF page) {
    return plotLayout(content, fittedView(content), PlotPage{.size = page});
}

} // namespace potwatch::report
