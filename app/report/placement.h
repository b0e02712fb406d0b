// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"

#include <span>
#include <vector>

namespace potwatch::report {

// Where the words and pins of a plot go so that nothing lies on anything else. Plain geometry in page units, y
// downwards.

// A stretch of a row that something takes up.
struct Extent {
    double from = 0.0;
    double to = 0.0;
};

// Rows (0 = lowest) for labels that stand on poles: each label lies beside the top of its pole, and the poles run down
// to the ground, so that a label must stay above every later pole that it spans. Shape: poles ascending; extents[i] is
// what the label of pole i takes up. One row an entry.
[[nodiscard]] std::vector<int> flagRows(std::span<const double> poles, std::span<const Extent> extents);

// Rows (0 first) for extents so that none overlaps another of its row; each takes the first row that is free.
[[nodiscard]] std::vector<int> packedRows(std::span<const Extent> extents, double gap);

struct PinRules {
    Box bounds{};                 // pins stay within
    double radius = 9.0;          // of a pin
    double clear_of_trace = 12.0; // from a pin's centre to the trace, if that can be had
    std::span<const Polyline> trace{};
    std::span<const double> verticals{}; // x of lines that pins should not lie on, if that can be had
};

// Centres of the pins of these points, near them: clear of the trace, of each other and of the verticals where there is
// room, of each other at least.
[[nodiscard]] std::vector<Point> placedPins(std::span<const Point> anchors, const PinRules& rules);

} // namespace potwatch::report
