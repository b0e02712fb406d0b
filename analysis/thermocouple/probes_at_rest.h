// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace potwatch::thermocouple {

// Probes that are at rest, compared with each other.
struct ProbesAtRest {
    std::vector<double> mean_c; // of each channel
    std::size_t lowest = 0;     // channels
    std::size_t highest = 0;
    double apart_k = 0.0; // highest less lowest
};

// Two probes at one temperature may read that far apart although neither is worse than it was sold as.
// Source: IEC 60584-1, tolerance class 1 of types K, N, J and E up to 375 °C: 1.5 °C each.
inline constexpr double tolerated_apart_k = 1.5;
// Further apart they do not stand at one temperature, and there is nothing to compare. Common practice, no source.
inline constexpr double most_apart_k = 5.0;

// Compares the last readings of two or more channels. At rest = over all the readings that are given, which span 25 s
// or more, no channel's straight line changes by more than 0.3 K (common practice, no source). Shape: time_s ascending
// [s]; a channel has a reading for each time [°C], NaN = missing. Empty: fewer than two channels, fewer than 8 readings
// of one of them, too short, or one of them is not at rest.
[[nodiscard]] std::optional<ProbesAtRest> probesAtRest(std::span<const double> time_s,
                                                       const std::vector<std::vector<double>>& channels_c);

} // namespace potwatch::thermocouple
