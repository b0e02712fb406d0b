// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace potwatch {

// One channel of a run as received, in its own unit. The times are the run's; a missing value is NaN.
struct Channel {
    std::string name;
    std::string unit; // "degC", "degF", "K", "mV", "%", ...; empty = unknown
    std::vector<double> values;

    bool operator==(const Channel&) const = default;
};

// A trace as the analysis sees it: a quantity against time.
// Shape: both of one length; time_s ascending; value may hold NaN (missing).
struct TraceView {
    std::span<const double> time_s;
    std::span<const double> value;

    [[nodiscard]] std::size_t size() const { return time_s.size(); }
};

} // namespace potwatch
