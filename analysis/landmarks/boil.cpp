// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/boil.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::landmarks {

namespace {

// A boiling pot stands this far above its boiling point at most; higher, the stated boiling point is not the pot's.
constexpr double highest_superheat_k = 15.0;
constexpr double smallest_superheat_k = 0.15;
constexpr double shortest_s = 3.0;
// A level stretch near the boiling point: how near, how level, how long, and how much shorter the break of the rate
// must be.
constexpr double near_stated_k = 1.0;
constexpr double near_water_below_k = 2.5;
constexpr double near_water_above_k = 5.0;
constexpr double level_within_k = 0.7;
constexpr double shortest_level_s = 20.0;
constexpr double break_share = 0.5;
constexpr double least_corner = 0.5;

// Where the course crosses a temperature on the way from inside_s outwards, in steps of a fraction of a second.
double crossing(const Course& course, double inside_s, double bound_s, double temperature_c) {
    constexpr int steps = 2000;
    double last_s = inside_s;
    for (int i = 1; i <= steps; ++i) {
        const double at_s = inside_s + (bound_s - inside_s) * i / steps;
        if (course.temperatureAt(at_s) < temperature_c) {
            return 0.5 * (at_s + last_s);
        }
        last_s = at_s;
    }
    return bound_s;
}

double meanTemperature(const Course& course, double from_s, double to_s) {
    constexpr int parts = 100;
    double sum = 0.0;
    for (int i = 0; i <= parts; ++i) {
        sum += course.temperatureAt(from_s + (to_s - from_s) * i / parts);
    }
    return sum / (parts + 1);
}

} // namespace

BoilPlateau plateauBetween(const Course& course, double from_s, double to_s) {
    return {.start_s = from_s, .end_s = to_s, .temperature_c = meanTemperature(course, from_s, to_s)};
}

std::optional<BoilPlateau> findBoilPlateau(const Course& course, const Rise& rise, const BoilingPoint& boiling) {
    const double over_k = rise.peak_c - boiling.temperature_c;
    if (boiling.stated && over_k > smallest_superheat_k && over_k < highest_superheat_k) {
        const double from_s = crossing(course, rise.peak_s, rise.from_s, boiling.temperature_c);
        const double to_s = crossing(course, rise.peak_s, rise.to_s, boiling.temperature_c);
        if (to_s - from_s >= shortest_s) {
            return plateauBetween(course, from_s, to_s);
        }
    }
    const bool near =
        boiling.stated ? std::abs(over_k) < near_stated_k : over_k > -near_water_below_k && over_k < near_water_above_k;
    if (!near) {
        return std::nullopt;
    }
    const double from_s = crossing(course, rise.peak_s, rise.from_s, rise.peak_c - level_within_k);
    const double to_s = crossing(course, rise.peak_s, rise.to_s, rise.peak_c - level_within_k);
    // How long the rate took to fall from half to a tenth of its highest.
    double half_s = rise.steepest_s;
    double tenth_s = rise.steepest_s;
    for (std::size_t i = 0; i < course.rate_time_s.size(); ++i) {
        const double at_s = course.rate_time_s[i];
        if (at_s < rise.steepest_s || at_s > to_s) {
            continue;
        }
        if (course.rate_k_per_s[i] > 0.5 * rise.steepest_k_per_s) {
            half_s = at_s;
        }
        tenth_s = at_s;
        if (course.rate_k_per_s[i] < 0.1 * rise.steepest_k_per_s) {
            break;
        }
    }
    // A cure that fades leaves a rounded top, however level; that a resin boils there must be stated.
    if ((boiling.stated || rise.corner > least_corner) && to_s - from_s >= shortest_level_s &&
        tenth_s - half_s < break_share * (to_s - from_s) && !rise.ends_rising) {
        return plateauBetween(course, from_s, to_s);
    }
    return std::nullopt;
}

} // namespace potwatch::landmarks
