// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/axis.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <span>

namespace potwatch::report {
namespace {

constexpr double tick_slack = 1e-9;

// Where ticks come out too dense with every listed step, the next larger round multiple of the unit.
double listedStep(const Range& shown_s, int most_ticks, double unit_s, std::span<const double> listed_units) {
    for (const double step_units : listed_units) {
        if (shown_s.width() / (step_units * unit_s) <= most_ticks - 1) {
            return step_units * unit_s;
        }
    }
    return unit_s * roundStep({.low = 0.0, .high = shown_s.width() / unit_s}, most_ticks);
}

} // namespace

double roundStep(const Range& range, int most_ticks) {
    assert(range.low < range.high && most_ticks >= 2);
    const double least = range.width() / (most_ticks - 1);
    const double power = std::pow(10.0, std::floor(std::log10(least)));
    for (const double factor : {1.0, 2.0, 5.0}) {
        if (factor * power >= least * (1.0 - tick_slack)) {
            return factor * power;
        }
    }
    return 10.0 * power;
}

int decimalsOfStep(double step) {
    constexpr int most = 9;
    return std::clamp(-static_cast<int>(std::floor(std::log10(step) + tick_slack)), 0, most);
}

std::vector<double> ticks(const Range& range, double step) {
    constexpr double most = 1000.0;
    std::vector<double> values;
    const double first = std::ceil(range.low / step - tick_slack);
    const double last = std::floor(range.high / step + tick_slack);
    const auto count = static_cast<int>(std::min(last - first, most));
    for (int i = 0; i <= count; ++i) {
        values.push_back((first + i) * step);
    }
    return values;
}

TimeAxis timeAxis(const Range& shown_s, int most_ticks) {
    constexpr double minute_s = 60.0;
    constexpr double hour_s = 3600.0;
    constexpr double seconds_up_to_s = 10.0 * minute_s;
    constexpr double minutes_up_to_s = 3.0 * hour_s;
    static constexpr std::array<double, 11> in_seconds{0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0};
    static constexpr std::array<double, 7> in_minutes{1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0};
    static constexpr std::array<double, 8> in_hours{0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0};
    if (shown_s.width() <= seconds_up_to_s) {
        return {.unit = "s", .unit_s = 1.0, .step_s = listedStep(shown_s, most_ticks, 1.0, in_seconds)};
    }
    if (shown_s.width() <= minutes_up_to_s) {
        return {.unit = "min", .unit_s = minute_s, .step_s = listedStep(shown_s, most_ticks, minute_s, in_minutes)};
    }
    return {.unit = "h", .unit_s = hour_s, .step_s = listedStep(shown_s, most_ticks, hour_s, in_hours)};
}

} // namespace potwatch::report
