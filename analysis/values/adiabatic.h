// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <optional>

namespace potwatch {

// When and where a pot that loses no heat would cure fastest, seen from one state of it.
struct TimeToMaximumRate {
    double time_s = 0.0;         // 0: it cures fastest now
    double temperature_c = 0.0;  // at the maximum
    double degree = 0.0;         // at the maximum
    double rate_k_per_min = 0.0; // highest self-heat rate
    // The zero-order figure; nothing where it would not be on the short side.
    std::optional<double> zero_order_s;

    bool operator==(const TimeToMaximumRate&) const = default;
};

// What a run would have come to if no heat had left the pot and nothing had boiled, by a fitted law.
struct AdiabaticFigures {
    Estimate thermal_inertia;       // phi: heat capacity of pot and contents over that of the contents
    Estimate rise_k;                // of the whole cure, in this pot
    Estimate rise_without_vessel_k; // phi = 1
    // Highest temperature that the pot could have reached from any moment of the run, and that moment; nothing where no
    // catalyst is dosed: there is no dosing that could fail.
    std::optional<Estimate> mtsr_c;
    std::optional<double> mtsr_at_s;
    // From the run's first temperature with the whole dose in at once; nothing where no time leads to a maximum.
    std::optional<Estimate> time_to_maximum_s;
    std::optional<Estimate> time_to_maximum_without_vessel_s; // phi = 1
    std::optional<double> zero_order_s;                       // the rule of thumb, on the short side

    bool operator==(const AdiabaticFigures&) const = default;
};

} // namespace potwatch
