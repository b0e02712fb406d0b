// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/exotherm.h"

#include "analysis/signal/noise.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::landmarks {

namespace {

// A rise counts from here on: below it, room air and drafts are as likely.
constexpr double smallest_rise_k = 1.0;
constexpr double smallest_rise_in_noise = 8.0;
constexpr double smallest_rise_in_steps = 4.0;
// Without a stated dose, the baseline ends where the rate first reaches this share of the steepest.
constexpr double quiet_share = 0.03;
constexpr double deviation_sigma = 3.0;
constexpr double unseen_lags = 4.0;
// Half way out in its window, a rounded top has fallen by a quarter of what it falls in the whole of it, a corner by
// half.
constexpr double rounded = 0.35;
constexpr double cornered = 0.5;

// Vertex of the parabola through three points, kept between the outer two.
struct Vertex {
    double at = 0.0;
    double value = 0.0;
};

Vertex parabolaVertex(const std::vector<double>& x, const std::vector<double>& y, std::size_t middle) {
    if (middle == 0 || middle + 1 >= x.size()) {
        return {x[middle], y[middle]};
    }
    const double h0 = x[middle] - x[middle - 1];
    const double h1 = x[middle + 1] - x[middle];
    const double d0 = (y[middle] - y[middle - 1]) / h0;
    const double d1 = (y[middle + 1] - y[middle]) / h1;
    const double curvature = (d1 - d0) / (h0 + h1);
    const double slope = (d0 * h1 + d1 * h0) / (h0 + h1);
    if (!(curvature < 0.0)) {
        return {x[middle], y[middle]};
    }
    const double step = std::clamp(-slope / (2.0 * curvature), -h0, h1);
    return {x[middle] + step, y[middle] + step * (slope + curvature * step)};
}

std::size_t indexAtOrAfter(const std::vector<double>& time_s, double at_s) {
    const auto found = std::lower_bound(time_s.begin(), time_s.end(), at_s);
    return std::min(static_cast<std::size_t>(found - time_s.begin()), time_s.size() - 1);
}

std::size_t highest(const std::vector<double>& values, std::size_t first, std::size_t last) {
    return static_cast<std::size_t>(std::max_element(values.begin() + static_cast<std::ptrdiff_t>(first),
                                                     values.begin() + static_cast<std::ptrdiff_t>(last) + 1) -
                                    values.begin());
}

// The top of the course about knot i: between knots the course is a cubic whose slope is known at both ends.
Vertex topOfCourse(const Course& course, std::size_t i) {
    Vertex top{course.time_s[i], course.temperature_c[i]};
    const std::size_t first = i > 0 ? i - 1 : i;
    const std::size_t last = std::min(i + 1, course.time_s.size() - 1);
    constexpr int parts = 32;
    for (int k = 0; k <= parts; ++k) {
        const double at = course.time_s[first] + (course.time_s[last] - course.time_s[first]) * k / parts;
        const double value = course.temperatureAt(at);
        if (value > top.value) {
            top = {at, value};
        }
    }
    return top;
}

double widthAt(const signal::SmoothCurve& curve, double at_s) {
    return signal::linear(curve.time_s, curve.half_width_s, at_s);
}

// How much of a corner the top of the course is: 0 a rounded one, 1 straight on one side of it.
double cornerAt(const Vertex& top, const Course& course, double width_s) {
    double straightest = 0.0;
    for (const double side_s : {-width_s, width_s}) {
        const double near_k = top.value - course.temperatureAt(top.at + 0.5 * side_s);
        const double far_k = top.value - course.temperatureAt(top.at + side_s);
        straightest = std::max(straightest, far_k > 0.0 ? near_k / far_k : 0.0);
    }
    return std::clamp((straightest - rounded) / (cornered - rounded), 0.0, 1.0);
}

// The first rate knot from which on the rate stays above the baseline's by deviation_sigma up to the steepest point.
std::size_t firstDeviation(const Course& course, const Curves& curves, const Baseline& baseline, std::size_t first,
                           std::size_t steepest) {
    const auto above = [&](std::size_t k) {
        const double rate_u = signal::uncertaintyAtKnot(curves.rate, k, course.lag_s, curves.noise_k);
        return course.rate_k_per_s[k] >
               baseline.slope_k_per_s + deviation_sigma * std::hypot(rate_u, baseline.slope_u_k_per_s);
    };
    std::size_t k = steepest;
    while (k > first && above(k - 1)) {
        --k;
    }
    return k;
}

} // namespace

double onsetTime(const Baseline& baseline, double steepest_s, double steepest_c, double steepest_k_per_s) {
    return steepest_s - (steepest_c - baseline.at(steepest_s)) / (steepest_k_per_s - baseline.slope_k_per_s);
}

Rise locate(const Rise& rise, const Course& course, const Curves& curves) {
    Rise found = rise;
    const std::size_t first = indexAtOrAfter(course.time_s, rise.valley_s);
    const std::size_t last = indexAtOrAfter(course.time_s, rise.to_s);
    const std::size_t peak = highest(course.temperature_c, first, last);
    const Vertex top = topOfCourse(course, peak);
    found.peak_s = top.at;
    found.peak_c = top.value;
    if (rise.by_hand.peak_s) {
        found.peak_s = *rise.by_hand.peak_s;
        found.peak_c = course.temperatureAt(found.peak_s);
    }
    const std::size_t steep_from = indexAtOrAfter(course.rate_time_s, std::max(rise.from_s, rise.baseline.to_s));
    std::size_t steep_to = std::max(steep_from, indexAtOrAfter(course.rate_time_s, found.peak_s));
    // In the last few lags of a trace a rate is extrapolated more than seen.
    while (rise.ends_rising && steep_to > steep_from + 1 &&
           course.rate_time_s.back() - course.rate_time_s[steep_to] < unseen_lags * course.lag_s) {
        --steep_to;
    }
    std::size_t steepest = highest(course.rate_k_per_s, steep_from, steep_to);
    const Vertex steep = parabolaVertex(course.rate_time_s, course.rate_k_per_s, steepest);
    found.steepest_s = std::clamp(steep.at, rise.from_s, found.peak_s);
    found.steepest_k_per_s = steep.value;
    found.corner = rise.ends_rising ? 0.0 : cornerAt(top, course, widthAt(curves.level, top.at));
    const double steep_width_s = widthAt(curves.rate, found.steepest_s);
    if (found.peak_s - found.steepest_s < steep_width_s) {
        const double fall = steep.value - course.rateAt(found.steepest_s + steep_width_s);
        found.steepest_k_per_s -= found.corner * overshoot_of_fall * std::max(0.0, fall);
    }
    if (rise.by_hand.steepest_s) {
        found.steepest_s = *rise.by_hand.steepest_s;
        found.steepest_k_per_s = course.rateAt(found.steepest_s);
        steepest = indexAtOrAfter(course.rate_time_s, found.steepest_s);
    }
    found.steepest_c = course.temperatureAt(found.steepest_s);
    found.onset_s = onsetTime(rise.baseline, found.steepest_s, found.steepest_c, found.steepest_k_per_s);
    if (rise.by_hand.onset_s) {
        found.onset_s = *rise.by_hand.onset_s;
    } else if (rise.by_hand.steepest_s || rise.by_hand.peak_s) {
        // Where hardly anything rises, the tangent meets the baseline anywhere.
        found.onset_s = found.steepest_k_per_s > rise.baseline.slope_k_per_s
                            ? std::clamp(found.onset_s, rise.from_s, found.steepest_s)
                            : rise.from_s;
    }
    found.onset_c = course.temperatureAt(found.onset_s);
    found.first_deviation_s = course.rate_time_s[firstDeviation(course, curves, rise.baseline, steep_from, steepest)];
    if (rise.by_hand.steepest_s) {
        found.first_deviation_s = std::min(found.first_deviation_s, found.steepest_s);
    }
    if (rise.by_hand.first_deviation_s) {
        found.first_deviation_s = *rise.by_hand.first_deviation_s;
    }
    return found;
}

std::vector<Rise> findRises(TraceView reading, const Curves& curves, double lag_s, const Heating& heating) {
    const Course course = courseOf(curves, lag_s);
    std::vector<double> level_u = signal::uncertaintyAtKnots(curves.level, lag_s, curves.noise_k);
    const double typical_u = [&] {
        const auto middle = level_u.begin() + static_cast<std::ptrdiff_t>(level_u.size() / 2);
        std::nth_element(level_u.begin(), middle, level_u.end());
        return *middle;
    }();
    const double least_k = std::max({smallest_rise_k, smallest_rise_in_noise * typical_u,
                                     smallest_rise_in_steps * signal::quantisationStep(reading.value)});
    std::vector<Rise> rises;
    for (const Span& span : cureSpans(course, curves, least_k, heating)) {
        Rise rise;
        rise.valley_s = course.time_s[span.from];
        rise.follows = !span.from_start || span.over_heating;
        rise.from_s = rise.follows ? rise.valley_s : course.time_s.front();
        rise.to_s = course.time_s[span.next_valley];
        rise.ends_rising = span.peak + 1 >= course.time_s.size();
        const std::size_t steep_from = indexAtOrAfter(course.rate_time_s, rise.valley_s);
        const std::size_t steep_to = indexAtOrAfter(course.rate_time_s, course.time_s[span.peak]);
        const std::size_t steepest = highest(course.rate_k_per_s, steep_from, std::max(steep_from, steep_to));
        const double steepest_s = course.rate_time_s[steepest];
        if (!rise.follows) {
            // The baseline ends where the dose starts, or where the rate leaves the quiet before the steepest point.
            std::size_t quiet = steepest;
            while (quiet > steep_from && course.rate_k_per_s[quiet - 1] > quiet_share * course.rate_k_per_s[steepest]) {
                --quiet;
            }
            double quiet_until_s = course.rate_time_s[quiet];
            if (heating.dose_start_s && *heating.dose_start_s > course.time_s.front() &&
                *heating.dose_start_s < steepest_s) {
                quiet_until_s = *heating.dose_start_s;
            }
            rise.starts_rising = quiet_until_s <= course.time_s.front();
            rise.baseline = baselineOf(reading, course.time_s.front(), quiet_until_s, curves.noise_k);
        } else {
            // A later rise starts from the valley before it, or goes on from what heated the pot.
            rise.baseline = {.from_s = rise.valley_s,
                             .to_s = rise.valley_s,
                             .middle_s = rise.valley_s,
                             .level_c = course.temperature_c[span.from],
                             .level_u_k = typical_u};
            if (span.over_heating && steepest_s > rise.valley_s) {
                const TraceView& around = heating.surroundings_c;
                rise.baseline.slope_k_per_s = (signal::linear(around.time_s, around.value, steepest_s) -
                                               signal::linear(around.time_s, around.value, rise.valley_s)) /
                                              (steepest_s - rise.valley_s);
            }
        }
        rises.push_back(locate(rise, course, curves));
    }
    return rises;
}

std::size_t hottestOf(const std::vector<Rise>& rises) {
    const auto cooler = [](const Rise& a, const Rise& b) { return a.peak_c < b.peak_c; };
    return static_cast<std::size_t>(std::max_element(rises.begin(), rises.end(), cooler) - rises.begin());
}

} // namespace potwatch::landmarks
