// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::report {

// The stretch of a quantity that a pane shows.
struct Range {
    double low = 0.0;
    double high = 1.0;

    bool operator==(const Range&) const = default;
    [[nodiscard]] double width() const { return high - low; }
};

// The round step (1, 2 or 5 times a power of ten) that puts at most that many ticks, and at least two where it can, on
// a range. Assumes: low < high, both finite; most_ticks >= 2.
[[nodiscard]] double roundStep(const Range& range, int most_ticks);

// Decimals that show every multiple of a step: 0 for 20, 1 for 0.5.
[[nodiscard]] int decimalsOfStep(double step);

// Multiples of the step within the range (a billionth of a step of slack at the ends).
[[nodiscard]] std::vector<double> ticks(const Range& range, double step);

// A time axis as people read it: seconds up to ten minutes shown, minutes up to three hours, then hours.
struct TimeAxis {
    std::string_view unit = "s"; // "s", "min", "h"
    double unit_s = 1.0;         // seconds in the unit
    double step_s = 60.0;        // between ticks: 1, 2, 5, 10, 15, 20, 30 s or min, 1, 2, 3, 6, 12, 24 h ...
};

// Assumes: shown_s.low < shown_s.high; most_ticks >= 2.
[[nodiscard]] TimeAxis timeAxis(const Range& shown_s, int most_ticks);

} // namespace potwatch::report
