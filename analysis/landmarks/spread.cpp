// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/spread.h"

#include "analysis/values/uncertainty.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <random>
#include <vector>

namespace potwatch::landmarks {

namespace {

// How a break (boiling begins) is seen through a window: its time to within this share of the half width, as a standard
// uncertainty. Chosen on simulated pots, see tests/reference/coverage_slow_test.cpp.
constexpr double blunted_share_of_width = 1.0 / 12.0;
// A rate that climbs up to a break faster than the probe can follow is read low, as if rounded: where it climbs by more
// than this share of its value within one lag, by up to as much as it climbs beyond that. Chosen on s06 and long-boil
// of tests/reference/truth_test.cpp: 119 K/min without such a climb, 177 K/min with it.
constexpr double followed_climb = 0.08;
// Readings further apart than this, and than the probe's lag, can miss a top.
constexpr double shortest_unseen_s = 2.0;
// How much higher the top may be than the curve through such readings: against the fall to the readings beside it, and
// no more than this share of the steepest rate would make in one interval. Common practice, no source.
constexpr double unseen_share = 1.0;
constexpr double steepness_near_top = 0.5;
// So many lags at the least stand for the distribution of the lag.
constexpr int fewest_lags = 16;
// A normal distribution is nothing beyond so many standard deviations.
constexpr double furthest_sigma = 6.0;

// The figures of a rise that carry an uncertainty of their own.
enum Figure : std::size_t {
    peak_s,
    peak_c,
    steepest_s,
    steepest_c,
    steepest_rate,
    onset_s,
    onset_c,
    deviation_s,
    deviation_c,
    figure_count
};
using Figures = std::array<double, figure_count>;

Figures figuresOf(const Rise& rise, const Course& course) {
    Figures figures{};
    figures[peak_s] = rise.peak_s;
    figures[peak_c] = rise.peak_c;
    figures[steepest_s] = rise.steepest_s;
    figures[steepest_c] = rise.steepest_c;
    figures[steepest_rate] = rise.steepest_k_per_s;
    figures[onset_s] = rise.onset_s;
    figures[onset_c] = rise.onset_c;
    figures[deviation_s] = rise.first_deviation_s;
    figures[deviation_c] = course.temperatureAt(rise.first_deviation_s);
    return figures;
}

double smallestWidth(const signal::SmoothCurve& curve, double at_s) {
    return signal::linear(curve.time_s, curve.half_width_s, at_s);
}

// Standard uncertainty of the steepest rate from noise and smoothing. Of a rounded one, noise and bias are what
// uncertaintyAtKnots makes them; where the rise breaks off, the bias is known better.
double steepestU(const Rise& rise, const Course& course, const Curves& curves) {
    const auto at = [&](double narrower) {
        const std::vector<double> u = signal::uncertaintyAtKnots(curves.rate, course.lag_s, curves.noise_k, narrower);
        return signal::linear(curves.rate.time_s, u, rise.steepest_s);
    };
    const double width_s = smallestWidth(curves.rate, rise.steepest_s);
    const double whole = at(signal::undersmoothingOf(signal::Aim::rate));
    if (rise.by_hand.steepest_s || rise.peak_s - rise.steepest_s >= width_s) {
        return whole;
    }
    const double fall = std::max(0.0, rise.steepest_k_per_s - course.rateAt(rise.steepest_s + width_s));
    const double climb = rise.steepest_k_per_s - course.rateAt(rise.steepest_s - course.lag_s);
    const double overshoot_u = overshoot_of_fall * fall / std::numbers::sqrt3;
    const double blunted_u = std::max(0.0, climb - followed_climb * rise.steepest_k_per_s) / std::numbers::sqrt3;
    const double broken = std::hypot(at(1.0), overshoot_u, blunted_u);
    return whole + rise.corner * (broken - whole);
}

// Standard uncertainties from noise and smoothing alone.
Figures noiseOf(const Rise& rise, const Course& course, const Curves& curves) {
    const std::vector<double> level_u = signal::uncertaintyAtKnots(curves.level, course.lag_s, curves.noise_k);
    const auto levelU = [&](double at_s) { return signal::linear(curves.level.time_s, level_u, at_s); };
    // The places where a rounded maximum lies within its own noise of the top.
    const auto topWidth = [&](double at_s, double reach_s, double top, double u, const auto& value) {
        const double fall = top - 0.5 * (value(at_s - reach_s) + value(at_s + reach_s));
        return fall > u ? reach_s * std::sqrt(u / fall) : reach_s;
    };
    Figures u{};
    u[peak_c] = std::hypot(levelU(rise.peak_s), curves.rounding_u_k);
    // The top is where the slope is zero: its uncertainty is the slope's over the curvature, from the fall to either
    // side.
    const double reach_s = 0.5 * smallestWidth(curves.level, rise.peak_s);
    const double fall_k =
        rise.peak_c - 0.5 * (course.temperatureAt(rise.peak_s - reach_s) + course.temperatureAt(rise.peak_s + reach_s));
    const std::vector<double> slope_u = signal::slopeUncertaintyAtKnots(curves.level, course.lag_s, curves.noise_k);
    u[peak_s] = fall_k > 0.0 ? std::min(reach_s, signal::linear(curves.level.time_s, slope_u, rise.peak_s) * reach_s *
                                                     reach_s / (2.0 * fall_k))
                             : reach_s;
    u[peak_s] = std::hypot(u[peak_s], rise.corner * blunted_share_of_width * smallestWidth(curves.level, rise.peak_s));
    if (rise.ends_rising) {
        u[peak_s] = course.lag_s; // at the end of the trace, as far as the probe shows it
    }
    // A landmark put by hand is exact in time: its temperature is as uncertain as the curve there.
    const ByHand& by_hand = rise.by_hand;
    if (by_hand.peak_s) {
        u[peak_s] = 0.0;
    }
    u[steepest_rate] = steepestU(rise, course, curves);
    u[steepest_s] = topWidth(rise.steepest_s, smallestWidth(curves.rate, rise.steepest_s) / 2.0, rise.steepest_k_per_s,
                             u[steepest_rate], [&](double at_s) { return course.rateAt(at_s); });
    if (by_hand.steepest_s) {
        u[steepest_s] = 0.0;
    }
    u[steepest_c] = levelU(rise.steepest_s);
    const double climb = rise.steepest_k_per_s - rise.baseline.slope_k_per_s;
    const double height = rise.steepest_c - rise.baseline.at(rise.steepest_s);
    const double baseline_u =
        std::hypot(rise.baseline.level_u_k, rise.baseline.slope_u_k_per_s * (rise.onset_s - rise.baseline.middle_s));
    u[onset_s] = std::hypot(std::hypot(u[steepest_c], baseline_u), height / climb * u[steepest_rate]) / climb;
    if (rise.ends_rising) {
        // The steepest point may lie beyond the trace: how much the onset still moves with the last of it.
        const double end_s = course.rate_time_s.back();
        u[onset_s] = std::hypot(u[onset_s], rise.onset_s - onsetTime(rise.baseline, end_s, course.temperatureAt(end_s),
                                                                     course.rate_k_per_s.back()));
    }
    if (by_hand.onset_s) {
        u[onset_s] = 0.0;
    }
    u[onset_c] = std::hypot(levelU(rise.onset_s), course.rateAt(rise.onset_s) * u[onset_s]);
    // A deviation is seen to within the window that saw it.
    u[deviation_s] = by_hand.first_deviation_s ? 0.0 : smallestWidth(curves.rate, rise.first_deviation_s) / 2.0;
    u[deviation_c] = std::hypot(levelU(rise.first_deviation_s), course.rateAt(rise.first_deviation_s) * u[deviation_s]);
    return u;
}

// The value with the distribution that is one normal of standard deviation u about each of the others' figures, all
// equally likely: its standard deviation about the value, and its probabilistically symmetric 95 % interval.
Estimate mixture(double value, const std::vector<Figures>& others, Figure figure, double u) {
    std::vector<double> centre;
    for (const Figures& other : others) {
        centre.push_back(other[figure]);
    }
    double square = u * u;
    for (const double at : centre) {
        square += (at - value) * (at - value) / static_cast<double>(centre.size());
    }
    Estimate result{.value = value, .u = std::sqrt(square), .low = value, .high = value};
    const auto ends = std::minmax_element(centre.begin(), centre.end());
    const auto quantile = [&](double share) {
        double low = *ends.first - furthest_sigma * u;
        double high = *ends.second + furthest_sigma * u;
        for (int i = 0; i < 50 && high > low; ++i) {
            const double middle = 0.5 * (low + high);
            double below = 0.0;
            for (const double at : centre) {
                below +=
                    u > 0.0 ? 0.5 * std::erfc((at - middle) / (u * std::numbers::sqrt2)) : (at <= middle ? 1.0 : 0.0);
            }
            (below < share * static_cast<double>(centre.size()) ? low : high) = middle;
        }
        return 0.5 * (low + high);
    };
    result.low = std::min(value, quantile(0.025));
    result.high = std::max(value, quantile(0.975));
    return result;
}

} // namespace

double unseenTop(const Rise& rise, const Course& course, const Curves& curves) {
    const double interval_s = curves.reading_interval_s;
    if (rise.by_hand.peak_s || interval_s <= std::max(shortest_unseen_s, course.lag_s)) {
        return 0.0;
    }
    const double before_k = rise.peak_c - course.temperatureAt(rise.peak_s - interval_s);
    const double after_k = rise.peak_c - course.temperatureAt(rise.peak_s + interval_s);
    const double steepest_k = std::max(before_k, rise.steepest_k_per_s * interval_s * steepness_near_top);
    const double unseen_k = rise.ends_rising ? 0.0 : std::min(steepest_k, std::max(before_k, after_k) * unseen_share);
    return unseen_k > 4.0 * curves.noise_k ? unseen_k : 0.0;
}

RiseLandmarks withUncertainty(const Rise& rise, const Curves& curves, const LagKnowledge& lag, double thermocouple_u_k,
                              const Draws& draws) {
    const Course course = courseOf(curves, lag.lag_s);
    const Figures value = figuresOf(rise, course);
    const Figures noise = noiseOf(rise, course, curves);

    // The lag's part: located anew on the course of another lag.
    std::vector<Figures> others;
    if (lag.u_s > 0.0) {
        const int count = std::max(fewest_lags, draws.count);
        std::mt19937_64 random(draws.seed);
        for (int i = 0; i < count && !draws.stop.stop_requested(); ++i) {
            // Stratified, so that few draws stand for the distribution: one a stratum.
            const double jitter = draws.count > 0 ? static_cast<double>(random() >> 11U) * 0x1.0p-53 : 0.5;
            const double within = 2.0 * (i + jitter) / count - 1.0;
            const Course other = courseOf(curves, std::max(0.0, lag.lag_s + std::numbers::sqrt3 * lag.u_s * within));
            others.push_back(figuresOf(locate(rise, other, curves), other));
        }
    }
    if (others.empty()) {
        others.push_back(value);
    }
    const auto estimate = [&](Figure figure, bool temperature) {
        const double rest_u = std::hypot(noise[figure], temperature ? thermocouple_u_k : 0.0);
        return mixture(value[figure], others, figure, rest_u);
    };
    RiseLandmarks landmarks;
    landmarks.first_deviation = {.time_s = estimate(deviation_s, false), .temperature_c = estimate(deviation_c, true)};
    // The trace cannot have left its baseline before it began, nor after it was steepest.
    Estimate& deviation = landmarks.first_deviation.time_s;
    deviation.low = std::min(deviation.value, std::max(deviation.low, rise.from_s));
    deviation.high = std::max(deviation.value, std::min(deviation.high, rise.steepest_s));
    landmarks.onset = {.time_s = estimate(onset_s, false), .temperature_c = estimate(onset_c, true)};
    Estimate rate = estimate(steepest_rate, false);
    for (double* part : {&rate.value, &rate.u, &rate.low, &rate.high}) {
        *part *= 60.0;
    }
    landmarks.steepest = {
        .time_s = estimate(steepest_s, false), .temperature_c = estimate(steepest_c, true), .rate_k_per_min = rate};
    landmarks.peak = {.time_s = estimate(peak_s, false), .temperature_c = estimate(peak_c, true)};
    if (const double unseen_k = unseenTop(rise, course, curves); unseen_k > 0.0) {
        // The top lies between two readings: it can only be higher.
        Estimate& top = landmarks.peak.temperature_c;
        top.high += unseen_k;
        top.u = std::hypot(top.u, unseen_k / coverage_factor_95);
        Estimate& time = landmarks.peak.time_s;
        time.low -= curves.reading_interval_s;
        time.high += curves.reading_interval_s;
        time.u = std::hypot(time.u, curves.reading_interval_s / std::numbers::sqrt3);
    }
    return landmarks;
}

} // namespace potwatch::landmarks
