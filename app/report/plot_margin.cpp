// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_margin.h"

#include "app/report/drawing.h"
#include "app/report/pane_item.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

constexpr double pin_gap = 5.0;
constexpr double terse_gap = 3.0;
constexpr double block_gap = 8.0;
constexpr double words_indent = 24.0;
constexpr double key_indent = 34.0;

// A piece of the trace as it is drawn, with its band behind it.
void drawKey(Sheet& sheet, const Pane& pane, const PaneTrace& trace, Point at, double width) {
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
    const QFont font = drawingFont(small_text);
    sheet.text(Sheet::fitted(trace.label, font, width - key_indent), {.x = at.x + key_indent, .y = at.y}, font);
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

double pinsHeight(const PlotContent& content, int detail, std::size_t count) {
    double height = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        height += line_height * static_cast<double>(pinLines(content.pins[i], detail).size()) +
                  (detail == 0 ? terse_gap : pin_gap);
    }
    return height;
}

// Words of the temperature's margin that follow the pins.
std::vector<std::string> lastLines(const PlotContent& content, const PlotLayout& layout, int detail) {
    std::vector<std::string> lines;
    if (detail < 2 &&
        std::any_of(content.pins.begin(), content.pins.end(), [](const Pin& pin) { return pin.by_hand; })) {
        lines.emplace_back("square: put by hand");
    }
    if (content.boil_plateau) {
        const bool start = content.boil_plateau->start_by_hand;
        const bool end = content.boil_plateau->end_by_hand;
        if (start || end) {
            lines.emplace_back(start && end ? "plateau: start and end put by hand"
                               : start      ? "plateau: start put by hand"
                                            : "plateau: end put by hand");
        }
    }
    if (layout.events_without_words > 0) {
        lines.push_back(fmt::format("{} events more: words in the report", layout.events_without_words));
    }
    return lines;
}

// How the column is shared out: the top of each pane's block, and what the pins get.
struct Column {
    std::vector<double> tops{};
    int detail = 2;
    std::size_t pins = 0;
    std::vector<std::size_t> lines{}; // of each pane below the temperature
};

Column shareOut(const PlotContent& content, const PlotLayout& layout, std::size_t last_lines) {
    Column column;
    column.pins = content.pins.size();
    column.lines.push_back(0);
    double below = 0.0;
    for (std::size_t i = 1; i < content.panes.size(); ++i) {
        column.lines.push_back(marginLines(content.panes[i]));
        below += line_height * static_cast<double>(column.lines[i]) + block_gap;
    }
    const Box& area = layout.areas.front();
    const double fixed = line_height * static_cast<double>(content.panes.front().traces.size() + last_lines) + pin_gap;
    const auto heightAt = [&](int detail) { return fixed + pinsHeight(content, detail, column.pins); };
    const double whole = layout.margin_bottom - area.top;
    // A block may be pushed down, but stays beside its pane.
    const auto fits = [&](int detail) {
        double y = area.top + heightAt(detail);
        for (std::size_t i = 1; i < content.panes.size(); ++i) {
            const double top = std::max(layout.areas[i].top, y);
            if (top > layout.areas[i].top + 0.5 * layout.areas[i].height()) {
                return false;
            }
            y = top + line_height * static_cast<double>(column.lines[i]) + block_gap;
        }
        return y - block_gap <= layout.margin_bottom;
    };
    while (column.detail > 0 && !fits(column.detail)) {
        --column.detail;
    }
    double room = whole - below;
    if (heightAt(column.detail) > room && content.panes.size() > 1) { // the notes are among the findings as well
        below = 0.0;
        for (std::size_t i = 1; i < content.panes.size(); ++i) {
            column.lines[i] = content.panes[i].traces.size();
            below += line_height * static_cast<double>(column.lines[i]) + block_gap;
        }
        room = whole - below;
    }
    if (heightAt(column.detail) > room) {
        const double lines = std::max(0.0, std::floor((room - fixed - line_height) / (line_height + terse_gap)));
        column.pins = std::min(column.pins, static_cast<std::size_t>(lines));
    }
    double y = area.top + heightAt(column.detail) + (column.pins < content.pins.size() ? line_height : 0.0) + terse_gap;
    column.tops.push_back(area.top);
    for (std::size_t i = 1; i < content.panes.size(); ++i) {
        column.tops.push_back(std::max(layout.areas[i].top, y));
        y = column.tops.back() + line_height * static_cast<double>(column.lines[i]) + block_gap;
    }
    double bottom = layout.margin_bottom + block_gap;
    for (std::size_t i = content.panes.size(); i-- > 1;) {
        const double height = line_height * static_cast<double>(column.lines[i]) + block_gap;
        column.tops[i] = std::min(column.tops[i], bottom - height);
        bottom = column.tops[i];
    }
    return column;
}

} // namespace

std::size_t drawMargin(Sheet& sheet, const PlotContent& content, const PlotLayout& layout) {
    const QFont font = drawingFont(small_text);
    const double left = layout.margin_left;
    const double width = layout.margin_right - left;
    const Column column = shareOut(content, layout, lastLines(content, layout, 0).size());
    std::vector<std::string> last_lines = lastLines(content, layout, column.detail);
    if (column.pins < content.pins.size()) {
        last_lines.push_back(fmt::format("{} landmarks more: in the report", content.pins.size() - column.pins));
    }
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        const Pane& pane = content.panes[i];
        double y = column.tops[i] + (i == 0 ? 8.0 : 7.0);
        for (const PaneTrace& trace : pane.traces) {
            drawKey(sheet, pane, trace, {.x = left, .y = y}, width);
            y += line_height;
        }
        for (std::size_t k = pane.traces.size(); k < column.lines[i]; ++k) {
            const std::string& note = pane.notes[k - pane.traces.size()];
            sheet.text(Sheet::fitted(note, font, width - key_indent), {.x = left + key_indent, .y = y}, font);
            y += line_height;
        }
        if (i > 0) {
            continue;
        }
        y += pin_gap;
        for (std::size_t k = 0; k < column.pins; ++k) {
            const Pin& pin = content.pins[k];
            sheet.pin({.x = left + pin_radius, .y = y}, pin.number, pin_radius, pin.by_hand);
            bool first = true;
            for (const std::string& line : pinLines(pin, column.detail)) {
                const QFont weight = drawingFont(small_text, first && column.detail > 0);
                sheet.text(Sheet::fitted(line, weight, width - words_indent), {.x = left + words_indent, .y = y},
                           weight);
                y += line_height;
                first = false;
            }
            y += column.detail == 0 ? terse_gap : pin_gap;
        }
        for (const std::string& line : last_lines) {
            sheet.text(Sheet::fitted(line, font, width), {.x = left, .y = y}, font);
            y += line_height;
        }
    }
    return column.pins;
}

} // namespace potwatch::report
