// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot_content.h"
#include "app/report/plot_layout.h"
#include "app/report/sheet.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::report {

// A stretch of time lit up in one pane; a moment where both ends are equal.
struct Highlight {
    PaneKind pane = PaneKind::temperature;
    Range time_s{};

    bool operator==(const Highlight&) const = default;
};

// Where the marks came to stand, in page units: for who asks what lies under the pointer.
struct ShownPin {
    std::size_t pin = 0; // of content.pins
    Point anchor{};      // on the trace
    Point place{};       // of its number
};
struct ShownAnnotation {
    std::size_t annotation = 0; // of content.annotations
    Point at{};                 // (time_s, value)
    Point to{};                 // (to_time_s, to_value); of a span, its other end
    Box text{};                 // empty where it has no words
};
struct ShownMarks {
    std::vector<ShownPin> pins{};
    std::vector<ShownAnnotation> annotations{};
};

// Marks of what is in view: frames' words, events, spans, pins, plateau, annotations. `trace` is what pins keep clear
// of.
ShownMarks drawMarks(Sheet& sheet, const PlotContent& content, const PlotView& view, const PlotLayout& layout,
                     std::span<const Polyline> trace, std::size_t pins);

void drawHighlight(Sheet& sheet, const PlotContent& content, const PlotLayout& layout, const Highlight& highlight);

// Page units of a value of a pane, and back. Assumes: index is of content.panes.
[[nodiscard]] double yOf(double value, const PlotView& view, const PlotLayout& layout, std::size_t pane);
[[nodiscard]] double valueOf(double y, const PlotView& view, const PlotLayout& layout, std::size_t pane);

[[nodiscard]] std::optional<std::size_t> paneIndex(const PlotContent& content, PaneKind kind);

} // namespace potwatch::report
