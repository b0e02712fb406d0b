// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"

#include <vector>

namespace potwatch::report {

// What makes traces quick to paint in pixels. Stroking a wide, noisy polyline as one outline costs a hundred times what
// its columns cost one by one, and looks the same.

// A line whose x ascends, with the points left out that lie within the tolerance (in y) of what remains. Cost: O(n).
[[nodiscard]] Polyline thinned(const Polyline& line, double tolerance);

// How far the line goes up and down in all.
[[nodiscard]] double verticalTravel(const Polyline& line);

// A line with many points a column as one upright box a column, from its lowest to its highest point and as far as the
// column before. Shape: x ascending. Columns start at `left`; each box is `width` wide about the middle of its column,
// and at least that high, so that a flat one is still seen. Across columns without points it is widened.
[[nodiscard]] std::vector<Box> columnBoxes(const Polyline& line, double left, double column_width, double width);

// The area between a line and a level as one box a column. Shape: as columnBoxes(); boxes touch and do not overlap.
[[nodiscard]] std::vector<Box> columnsTo(double level, const Polyline& line, double left, double column_width);

// What a closed polygon covers, as one box a column; for polygons that run along one side and back along the other.
[[nodiscard]] std::vector<Box> bandColumns(const Polyline& polygon, double left, double column_width);

} // namespace potwatch::report
