// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"
#include "app/report/plot_content.h"
#include "app/report/sheet.h"
#include "app/report/theme.h"

#include <QGraphicsScene>

QT_BEGIN_NAMESPACE
class QChart;
class QValueAxis;
QT_END_NAMESPACE

namespace potwatch::report {

// The axes and the grid of one pane, by Qt Charts; only the lowest has the times. Laid out anew only where something of
// it changes.
class PaneFrame {
public:
    // The chart belongs to the scene.
    PaneFrame(QGraphicsScene& scene, const Theme& theme, bool has_right_axis, bool has_times);

    void layOut(const Box& area, const Range& shown_s, const PaneView& view);
    // Frame, tick marks and numbers, over the grid, which would break them, and the grid of the times.
    void drawMarks(Sheet& sheet) const;

private:
    struct Steps { // between two ticks of each axis
        double time = 1.0;
        double left = 1.0;
        double right = 1.0;
    };

    Theme theme_;
    QChart* chart_;
    QValueAxis* time_ = nullptr; // of the lowest pane
    QValueAxis* left_;
    QValueAxis* right_ = nullptr;
    Box area_{};
    Range shown_s_{};
    PaneView view_{};
    Steps steps_{};
};

// How many ticks a time axis of that width has at most.
[[nodiscard]] int mostTimeTicks(double width);

} // namespace potwatch::report
