// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/probes_at_rest.h"

#include <algorithm>
#include <cmath>

namespace potwatch::thermocouple {
namespace {

constexpr std::size_t fewest_readings = 8;
constexpr double shortest_s = 25.0;
constexpr double most_change_k = 0.3;

// The mean of a channel that is at rest.
std::optional<double> meanAtRest(std::span<const double> time_s, const std::vector<double>& values_c) {
    std::size_t count = 0;
    double mean_s = 0.0;
    double mean_c = 0.0;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (std::isfinite(values_c[i])) {
            ++count;
            mean_s += (time_s[i] - mean_s) / static_cast<double>(count);
            mean_c += (values_c[i] - mean_c) / static_cast<double>(count);
        }
    }
    if (count < fewest_readings) {
        return std::nullopt;
    }
    double square = 0.0;
    double product = 0.0;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (std::isfinite(values_c[i])) {
            square += (time_s[i] - mean_s) * (time_s[i] - mean_s);
            product += (time_s[i] - mean_s) * (values_c[i] - mean_c);
        }
    }
    const double change_k = square > 0.0 ? product / square * (time_s.back() - time_s.front()) : 0.0;
    return std::abs(change_k) <= most_change_k ? std::optional(mean_c) : std::nullopt;
}

} // namespace

std::optional<ProbesAtRest> probesAtRest(std::span<const double> time_s,
                                         const std::vector<std::vector<double>>& channels_c) {
    if (channels_c.size() < 2 || time_s.empty() || time_s.back() - time_s.front() < shortest_s) {
        return std::nullopt;
    }
    ProbesAtRest rest;
    for (const std::vector<double>& channel : channels_c) {
        const std::optional<double> mean_c = meanAtRest(time_s, channel);
        if (!mean_c) {
            return std::nullopt;
        }
        rest.mean_c.push_back(*mean_c);
    }
    const auto [low, high] = std::minmax_element(rest.mean_c.begin(), rest.mean_c.end());
    rest.lowest = static_cast<std::size_t>(low - rest.mean_c.begin());
    rest.highest = static_cast<std::size_t>(high - rest.mean_c.begin());
    rest.apart_k = *high - *low;
    return rest;
}

} // namespace potwatch::thermocouple
