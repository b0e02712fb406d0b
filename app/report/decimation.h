// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"

#include <span>
#include <vector>

namespace potwatch::report {

// The stretch of x that is drawn, cut into columns of equal width (one or two a pixel).
struct Columns {
    double from = 0.0;
    double to = 1.0;
    int count = 1;

    [[nodiscard]] double width() const { return (to - from) / count; }
};

// A trace thinned to at most four points a column: its first, lowest, highest and last sample, in order of time. Drawn,
// it covers the same pixels as all samples do, so that a spike of one sample stays. One sample beyond either end is
// kept, so that lines run to the edge (clip them). Shape: x strictly ascending; y of the same length, NaN where
// missing. A gap at least a column wide parts the line. Source: Jugel et al., "M4: a visualization-oriented time series
// data aggregation", PVLDB 7 (2014) 797.
[[nodiscard]] std::vector<Polyline> decimate(std::span<const double> x, std::span<const double> y,
                                             const Columns& columns);

// A band thinned likewise, as closed polygons (along the highest of high, back along the lowest of low of each column).
// Shape: as decimate(); a sample counts where low and high are both known.
[[nodiscard]] std::vector<Polyline> decimateBand(std::span<const double> x, std::span<const double> low,
                                                 std::span<const double> high, const Columns& columns);

// A trace held at its value in the middle of each column: the steps of a staircase, parted where the value is missing.
// Shape: as decimate().
[[nodiscard]] std::vector<Polyline> steps(std::span<const double> x, std::span<const double> y, const Columns& columns);

} // namespace potwatch::report
