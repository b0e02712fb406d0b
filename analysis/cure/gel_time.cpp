// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/gel_time.h"

#include <algorithm>
#include <cstddef>

namespace potwatch::cure {

namespace {

// When a curve first passes a value, straight between its rows; its first time where it starts beyond.
std::optional<double> firstPassing(std::span<const double> time_s, std::span<const double> values, double value) {
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (values[i] < value) {
            continue;
        }
        if (i == 0) {
            return time_s[0];
        }
        const double share = (value - values[i - 1]) / (values[i] - values[i - 1]);
        return time_s[i - 1] + share * (time_s[i] - time_s[i - 1]);
    }
    return std::nullopt;
}

} // namespace

std::optional<GelTime> gelTime(const DegreeBand& band, double gel_degree) {
    if (band.time_s.empty() || band.degree.front() >= gel_degree) {
        return std::nullopt;
    }
    const std::optional<double> at_s = firstPassing(band.time_s, band.degree, gel_degree);
    if (!at_s) {
        return std::nullopt;
    }
    const std::optional<double> late_s = firstPassing(band.time_s, band.low, gel_degree);
    const double low_s = std::min(*at_s, firstPassing(band.time_s, band.high, gel_degree).value_or(*at_s));
    const double high_s = std::max(*at_s, late_s.value_or(band.time_s.back()));
    return GelTime{
        .time_s = {.value = *at_s, .u = 0.5 * (high_s - low_s) / coverage_factor_95, .low = low_s, .high = high_s},
        .may_not_gel = !late_s};
}

} // namespace potwatch::cure
