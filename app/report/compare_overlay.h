// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_scene.h"

#include <QPainterPath>
#include <QPen>

#include <span>
#include <string>
#include <vector>

namespace potwatch::report {

// How one of the runs that are told apart is drawn in both parts: neighbours differ in colour and in line.
[[nodiscard]] QPen runPen(const Theme& theme, std::size_t run);

// The words of a run in the picture, cut to a length that fits a margin.
[[nodiscard]] std::string shortName(const session::Comparison& comparison, std::size_t run);

// Where labels of that height stand in a column so that none overlaps another, each as near as can be to where it is
// wanted; the order is kept. Shape: `wanted` in any order, one result each.
[[nodiscard]] std::vector<double> spreadLabels(std::span<const double> wanted, double height, double top,
                                               double bottom);

// The highest point of a trace as it is drawn; y is infinite where there is none.
[[nodiscard]] Point highestOf(const std::vector<Polyline>& parts);
[[nodiscard]] QPainterPath pathOf(const std::vector<Polyline>& parts);

// Draws the traces into that part of the page and fills in where they lie.
void drawOverlay(QGraphicsScene& scene, const ComparePicture& picture, const Theme& theme, const QRectF& box,
                 CompareMap& map);

} // namespace potwatch::report
