// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>

namespace potwatch {

// When and where a pot that loses no heat would cure fastest, seen from one state of it.
struct TimeToMaximumRate {
    double time_s = 0.0;         // 0: it cures fastest now
    double temperature_c = 0.0;  // at the maximum
    double degree = 0.0;         // at the maximum
    double rate_k_per_min = 0.0; // highest self-heat rate
    // The zero-order figure, on the short side; nothing where it cures fastest now.
    std::optional<double> zero_order_s;

    bool operator==(const TimeToMaximumRate&) const = default;
};

} // namespace potwatch
