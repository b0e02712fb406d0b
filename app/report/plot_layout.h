// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/axis.h"
#include "app/report/geometry.h"
#include "app/report/placement.h"
#include "app/report/plot_content.h"

#include <QSizeF>

#include <algorithm>
#include <string>
#include <vector>

namespace potwatch::report {

// The page that a plot is laid out on, in page units: pixels at 96 dpi.
struct PlotPage {
    QSizeF size{1100.0, 820.0};
    bool title = true;  // the run's name above
    bool foot = true;   // source and version below
    double strip = 0.0; // left free at the top
};

// How many rows the flags and the dimension lines take above the panes.
struct MarkRows {
    int events = 0;
    int spans = 0;

    bool operator==(const MarkRows&) const = default;
};

// A dimension line laid out: from and to on its row, its text between or beside the arrows. What lies out of view is
// cut off, and has no arrow there.
struct LaidSpan {
    Extent line{};
    bool from_seen = true;
    bool to_seen = true;
    double y = 0.0;
    std::string text{};
    Point text_at{}; // middle line; centred or left-aligned
    bool text_inside = true;
};

struct LaidEvent {
    double x = 0.0;
    double y = 0.0; // of the text's middle line
    std::string text{};
};

// Where everything of a plot stands, in page units.
struct PlotLayout {
    PlotPage page{};
    double margin_left = 0.0; // the column of words at the right
    double margin_right = 0.0;
    double margin_bottom = 0.0;
    std::vector<Box> areas{}; // plot area of each pane
    std::vector<LaidSpan> spans{};
    std::vector<LaidEvent> events{};
    std::size_t events_without_words = 0;
    MarkRows rows{};
    Range shown_s{};

    [[nodiscard]] double xOf(double time_s) const {
        const Box& area = areas.front();
        return area.left + (time_s - shown_s.low) / shown_s.width() * area.width();
    }
    [[nodiscard]] double timeAt(double x) const {
        const Box& area = areas.front();
        return shown_s.low + (x - area.left) / area.width() * shown_s.width();
    }
    [[nodiscard]] bool shows(double time_s) const { return time_s >= shown_s.low && time_s <= shown_s.high; }
};

inline constexpr double small_text = 11.0;
inline constexpr double line_height = 15.0;
inline constexpr double page_edge = 14.0; // free at the page's edge

// Lines of words beside a pane: its key and its notes.
[[nodiscard]] std::size_t marginLines(const Pane& pane);

// Assumes: view is of content. At least that many rows are left for marks, so that panes stay where they are.
[[nodiscard]] PlotLayout plotLayout(const PlotContent& content, const PlotView& view, const PlotPage& page,
                                    const MarkRows& least = {});
// Of the fitted view.
[[nodiscard]] PlotLayout plotLayout(const PlotContent& content, QSizeF page);

} // namespace potwatch::report
