// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

#include <cstddef>
#include <vector>

namespace potwatch::signal {

struct Hampel {
    double threshold_sigma = 5.0;   // beyond the chance of a long trace of normal noise
    double quantisation_step = 0.0; // in which the values come; less than two and a half steps is never a spike
};

inline constexpr std::size_t longest_spike = 3;

// Indices of spikes, ascending: one to longest_spike samples that stand off from the readings before as well as after
// them. A level, a slope, a bend, a step and a boil plateau are none. Judged by the median and the median absolute
// deviation, in a sliding window, of each sample's distance from the line between the medians before and after it.
// Shape: time_s strictly ascending; values that are not finite are passed over. Nothing is found in fewer than 12
// values. Source: F. R. Hampel, J. Am. Stat. Assoc. 69 (1974) 383; side lines: H. Theil, Proc. Kon. Ned. Akad.
// Wetensch. 53 (1950) 386.
[[nodiscard]] std::vector<std::size_t> spikes(TraceView trace, const Hampel& settings);

} // namespace potwatch::signal
