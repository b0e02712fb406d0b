// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace potwatch::signal {

// Rows whose time lies so far from the rest that a wrong time is the likelier reading.
struct Stray {
    std::vector<std::size_t> rows; // ascending, in the order received
    double first_s = 0.0;          // the first one's time
    double away_s = 0.0;           // from the nearest row that is kept
};

// Groups of rows that lie beyond a gap longer than all of the recorded time together and hold fewer than 16 rows or one
// in a hundred; or beyond one of twenty times that, whatever they hold, where the larger part is kept.
// Recorded time: the intervals between rows, each counted for a hundred usual ones at most.
// Shape: times in any order; those that are no number are never stray. Cost: O(n log n).
// The limits are common practice, no source.
[[nodiscard]] std::vector<Stray> strayRows(std::span<const double> time_s);

} // namespace potwatch::signal
