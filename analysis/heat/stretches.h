// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

namespace potwatch::heat {

// A part of a run in which nothing was done that changes how the pot loses heat, against the part in which it is seen
// to cool: what was done in between leaves the loss coefficient known within a factor only.
struct Stretch {
    double from_s = 0.0;
    double to_s = 0.0;
    std::string after;         // the event that begins it; empty: the balance begins
    double log_factor = 0.0;   // of its loss coefficient over that of the cooling
    double log_factor_u = 0.0; // 0: the cooling's own
};

// Factor of the loss coefficient at a time; 1 outside all stretches. Of two that meet there, the earlier one counts.
[[nodiscard]] double lossFactorAt(const std::vector<Stretch>& stretches, double at_s);

} // namespace potwatch::heat
