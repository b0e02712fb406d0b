// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/geometry.h"
#include "app/report/pyramid.h"

#include <cstddef>
#include <span>
#include <vector>

namespace potwatch::report {

// The stretch of x that is drawn, cut into columns of equal width (one or two a pixel).
struct Columns {
    double from = 0.0;
    double to = 1.0;
    int count = 1;

    bool operator==(const Columns&) const = default;
    [[nodiscard]] double width() const { return (to - from) / count; }
};

// Which samples lie in which column: column c holds [border[c], border[c + 1]). All traces of one time share it.
struct ColumnSamples {
    Columns columns{};
    std::vector<std::size_t> border{}; // columns.count + 1 indices
};

// Shape: x ascending. Cost: O(columns) where x is about even.
[[nodiscard]] ColumnSamples columnSamples(std::span<const double> x, const Columns& columns);

// A trace thinned to at most four points a column: its first, lowest, highest and last sample, in order of time. Drawn,
// it covers the same pixels as all samples do, so that a spike of one sample stays. Where a column holds many samples
// and there is a pyramid, lowest and highest come from it, in the middle of the column. One sample beyond either end is
// kept, so that lines run to the edge (clip them). Shape: x ascending; samples of the same length, NaN where missing.
// A gap at least a column wide parts the line. Source: Jugel et al., "M4: a visualization-oriented time series data
// aggregation", PVLDB 7 (2014) 797.
[[nodiscard]] std::vector<Polyline> decimate(std::span<const double> x, const Samples& samples,
                                             const ColumnSamples& columns, const Pyramid* pyramid = nullptr);
[[nodiscard]] std::vector<Polyline> decimate(std::span<const double> x, std::span<const double> y,
                                             const Columns& columns);

// A band thinned likewise, as closed polygons (along the highest of high, back along the lowest of low of each column).
// Shape: as decimate(); a sample counts where low and high are both known.
[[nodiscard]] std::vector<Polyline> decimateBand(std::span<const double> x, const Samples& samples,
                                                 const ColumnSamples& columns, const Pyramid* pyramid = nullptr);
[[nodiscard]] std::vector<Polyline> decimateBand(std::span<const double> x, std::span<const double> low,
                                                 std::span<const double> high, const Columns& columns);

// A trace held at its value in the middle of each column: the steps of a staircase, parted where the value is missing.
// What lies beyond a step and both its neighbours by more than `least_spike`, as a spike does, sticks out of the step.
// Shape: as decimate().
[[nodiscard]] std::vector<Polyline> steps(std::span<const double> x, const Samples& samples,
                                          const ColumnSamples& columns, const Pyramid* pyramid, double least_spike);
[[nodiscard]] std::vector<Polyline> steps(std::span<const double> x, std::span<const double> y, const Columns& columns);

// The value at a time, on the line between its neighbours; NaN where one of them is missing or time lies outside.
// Shape: as decimate().
[[nodiscard]] double valueAt(std::span<const double> x, std::span<const double> y, double at);

} // namespace potwatch::report
