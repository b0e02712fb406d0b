// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

#include <cstddef>
#include <vector>

namespace potwatch::signal {

// A trace whose times are strictly ascending, and what had to be done for that.
struct Settled {
    std::vector<double> time_s;
    std::vector<double> value;    // NaN where missing
    std::size_t stepped_back = 0; // samples that came with a time before their predecessor's
    std::size_t repeated = 0;     // samples whose time was there already: averaged into one
    std::size_t without_time = 0; // samples left out because their time is not a number

    bool operator==(const Settled&) const = default;
};

// The trace in the order of its times, samples of one time averaged (missing values do not count).
// Shape: time_s and value of one length, in any order; the times of the result depend on the times alone, so that the
// channels of one run stay aligned.
[[nodiscard]] Settled settle(TraceView trace);

} // namespace potwatch::signal
