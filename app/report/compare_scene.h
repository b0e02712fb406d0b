// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_plot.h"
#include "app/report/geometry.h"
#include "app/report/theme.h"

#include <QGraphicsScene>
#include <QRectF>
#include <QSizeF>

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

class QPainter;

namespace potwatch::report {

// Where the runs lie in the picture, for whoever points at them. Shape: one a run.
struct CompareMap {
    QRectF overlay;
    QRectF scatter;
    std::vector<std::vector<Polyline>> curves; // parts in view; empty = the run is not in the overlay
    std::vector<std::optional<Point>> points;  // empty = the run is not in the scatter
};

// The picture of writeComparePlot at any size: the traces laid over each other, below them the scatter with trend,
// bands, limit and the interval of x at the limit. Up to this many runs are told apart by colour, line and name; of
// more the traces are alike, and only the one lit up is named.
inline constexpr std::size_t most_named_runs = 15;
// Assumes: there is an application that draws (prepareDrawing). `map`, where it is wanted, is filled in.
[[nodiscard]] std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme,
                                                           QSizeF size, CompareMap* map = nullptr);

// One of its parts alone, of that size.
enum class ComparePart { overlay, scatter };
[[nodiscard]] std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme,
                                                           QSizeF size, ComparePart part);

// Draws one run over the picture, lit up in both parts.
void drawLit(QPainter& painter, const ComparePicture& picture, const CompareMap& map, const Theme& theme,
             std::size_t run);

// The run whose point or trace lies nearest, within that many page units; a point goes before a trace.
[[nodiscard]] std::optional<std::size_t> runAt(const CompareMap& map, Point at, double within = 9.0);

} // namespace potwatch::report
