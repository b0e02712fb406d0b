// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/axis.h"
#include "app/report/geometry.h"
#include "app/report/placement.h"
#include "app/report/plot_content.h"

#include <QSizeF>

#include <vector>

namespace potwatch::report {

// A dimension line laid out: from and to on its row, its text between or beside the arrows.
struct LaidSpan {
    Extent line{};
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
    QSizeF page{};
    double margin_left = 0.0; // the column of words at the right
    double margin_right = 0.0;
    std::vector<Box> areas{}; // plot area of each pane
    std::vector<LaidSpan> spans{};
    std::vector<LaidEvent> events{};
    std::size_t events_without_words = 0;
    Range shown_s{};

    [[nodiscard]] double xOf(double time_s) const {
        const Box& area = areas.front();
        return area.left + (time_s - shown_s.low) / shown_s.width() * area.width();
    }
};

inline constexpr double small_text = 11.0;
inline constexpr double line_height = 15.0;

// Lines of words beside a pane: its key and its notes.
[[nodiscard]] std::size_t marginLines(const Pane& pane);

[[nodiscard]] PlotLayout plotLayout(const PlotContent& content, QSizeF page);

} // namespace potwatch::report
