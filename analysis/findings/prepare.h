// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"
#include "analysis/values/run.h"

#include <cstddef>
#include <string>
#include <vector>

namespace potwatch::findings {

// The readings of one channel in the order of time, spikes and impossible values taken out.
// Shape: time_s strictly ascending, value_c of the same length with NaN where missing.
struct Prepared {
    std::string channel;
    std::vector<double> time_s;
    std::vector<double> value_c;
    double noise_k = 0.0;      // standard deviation of white noise, rounding included
    double rounding_u_k = 0.0; // what rounding leaves in a mean of many readings
    SampleCount samples;
    std::vector<std::string> warnings;

    [[nodiscard]] TraceView view() const { return {time_s, value_c}; }
};

inline constexpr std::size_t fewest_samples = 16;

// Index of the channel with this name (as it stands, or without regard to case and blanks); the number of channels if
// there is none.
[[nodiscard]] std::size_t channelIndex(const Run& run, const std::string& name);

// The channel of the reacting mass: the one asked for, else the batch's, else one whose probe is said to be in the pot,
// else the first temperature that is not named as air, oven or room. Errors: input (no such channel; no temperature at
// all): lists the channels there are.
[[nodiscard]] Result<std::size_t> potChannel(const Run& run, const std::string& asked);

// Errors: missing (fewer than fewest_samples readings within -273.15 to 3000 °C).
[[nodiscard]] Result<Prepared> prepare(const Run& run, std::size_t channel);

} // namespace potwatch::findings
