// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/live_trend.h"

#include "analysis/signal/local_polynomial.h"
#include "analysis/signal/noise.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>

namespace potwatch::watch {

namespace {

constexpr double bin_s = 0.25;
constexpr double longest_look_s = 120.0;
constexpr double shortest_look_s = 8.0;
constexpr double look_ratio = 1.4; // from one look to the next longer one
constexpr std::size_t fewest_bins = 6;
constexpr std::size_t longest_look_bins = 12; // where readings come more slowly than every ten seconds
constexpr double agreement_sigma = 4.0;
constexpr std::size_t looks_shorter = 2;
constexpr std::size_t looks_shorter_for_curvature = 1; // it is lost in the noise first
constexpr double agrees_sigma = 3.0;                   // a parabola with the cubic
constexpr int order = 3; // a parabola long enough to be quiet reads the rate an eighth too high at the steepest place
constexpr double least_noise = 0.02;
constexpr double noise_every_s = 5.0;
constexpr std::size_t few_bins = 40; // so few tell the noise badly: each new one counts
constexpr std::size_t raw_kept = 240;

// What stands off: common practice, no source.
constexpr double stand_off = 3.0; // in the reading's unit, K for a temperature
constexpr double stand_off_sigma = 8.0;
constexpr std::size_t step_readings = 3;
constexpr double shortest_gap_s = 10.0;
constexpr double shortest_step_s = 0.9;
constexpr double slowest_judged_s = 3.0; // slower readings cannot be told from spikes by their neighbours

} // namespace

std::optional<double> LiveTrend::intervalS() const {
    return interval_s_ > 0.0 ? std::optional(interval_s_) : std::nullopt;
}

bool LiveTrend::standsOff(const Sample& sample) const {
    if (!trend_ || interval_s_ > slowest_judged_s) {
        return false;
    }
    const double dt_s = sample.time_s - trend_->time_s;
    const double expected = trend_->value + trend_->slope_per_s * dt_s;
    const double room = std::max(stand_off, stand_off_sigma * noise_) + std::abs(trend_->slope_per_s) * dt_s +
                        std::abs(trend_->curvature_per_s2) * dt_s * dt_s;
    return std::abs(sample.value - expected) > room;
}

bool LiveTrend::add(double time_s, double value) {
    constexpr double newest_share = 0.05;
    if (last_s_) {
        const double interval_s = time_s - *last_s_;
        if (interval_s_ > 0.0 && interval_s > std::max(shortest_gap_s, signal::gap_intervals * interval_s_)) {
            beginAnew(); // what was before the gap says nothing of the present trend
        }
        interval_s_ = interval_s_ > 0.0 ? interval_s_ + newest_share * (interval_s - interval_s_) : interval_s;
    }
    last_s_ = time_s;
    const Sample sample{.time_s = time_s, .value = value};
    if (standsOff(sample)) {
        aside_.push_back(sample);
        if (aside_.size() < step_readings || time_s - aside_.front().time_s < shortest_step_s) {
            return false;
        }
        const std::vector<Sample> step = aside_;
        beginAnew();
        for (const Sample& s : step) {
            take(s);
        }
        return true;
    }
    aside_.clear();
    return take(sample);
}

void LiveTrend::beginAnew() {
    bins_.clear();
    raw_.clear();
    aside_.clear();
    in_sum_ = 0;
    noise_ = 0.0;
    trend_.reset();
}

bool LiveTrend::take(const Sample& sample) {
    raw_.push_back(sample.value);
    if (raw_.size() > raw_kept) {
        raw_.pop_front();
    }
    bool full = false;
    const auto close = [&] {
        const auto n = static_cast<double>(in_sum_);
        bins_.push_back({.time_s = sum_.time_s / n, .value = sum_.value / n});
        in_sum_ = 0;
        full = true;
    };
    if (in_sum_ > 0 && sample.time_s - sum_from_s_ >= bin_s) {
        close();
    }
    if (in_sum_ == 0) {
        sum_ = {};
        sum_from_s_ = sample.time_s;
    }
    sum_.time_s += sample.time_s;
    sum_.value += sample.value;
    ++in_sum_;
    if (interval_s_ >= bin_s) { // each reading is its own bin, and counts at once
        close();
    }
    if (!full) {
        return false;
    }
    const double newest_s = bins_.back().time_s;
    while (bins_.size() > longest_look_bins && newest_s - bins_.front().time_s > longest_look_s) {
        bins_.pop_front();
    }
    fit();
    return true;
}

double LiveTrend::stepWhileResting() const {
    double least = 0.0;
    std::size_t repeated = 0;
    for (std::size_t i = 1; i < raw_.size(); ++i) {
        const double change = std::abs(raw_[i] - raw_[i - 1]);
        repeated += change == 0.0 ? 1 : 0;
        least = change > 0.0 && (least == 0.0 || change < least) ? change : least;
    }
    return 2 * repeated >= raw_.size() ? least : 0.0;
}

void LiveTrend::measureNoise() {
    std::vector<double> time_s;
    std::vector<double> value;
    for (const Sample& bin : bins_) {
        time_s.push_back(bin.time_s);
        value.push_back(bin.value);
    }
    double step = signal::quantisationStep(std::vector<double>(raw_.begin(), raw_.end()));
    if (step <= 0.0) { // not known yet
        step = stepWhileResting();
    }
    const double rounding = step / std::sqrt(12.0);
    noise_ = std::max({signal::noiseStandardDeviation({.time_s = time_s, .value = value}), rounding, least_noise});
    noise_from_s_ = bins_.back().time_s;
}

void LiveTrend::fit() {
    if (bins_.size() < fewest_bins) {
        return;
    }
    const double newest_s = bins_.back().time_s;
    if (noise_ <= 0.0 || bins_.size() < few_bins || newest_s - noise_from_s_ >= noise_every_s) {
        measureNoise();
    }
    std::vector<double> time_s;
    std::vector<double> value;
    for (const Sample& bin : bins_) {
        time_s.push_back(bin.time_s);
        value.push_back(bin.value);
    }
    // Looks from the shortest that holds enough readings up to all there is.
    const double span_s = newest_s - bins_.front().time_s;
    if (span_s < shortest_look_s) {
        return; // so short a look sees only the noise
    }
    const double fewest_span_s = newest_s - time_s[time_s.size() - fewest_bins];
    std::vector<double> half_width_s;
    for (double look_s = std::max(shortest_look_s, fewest_span_s); look_s < span_s; look_s *= look_ratio) {
        half_width_s.push_back(look_s / 2.0);
    }
    if (half_width_s.empty() || span_s > 1.1 * 2.0 * half_width_s.back()) {
        half_width_s.push_back(span_s / 2.0);
    }
    const std::vector<double> at_s(half_width_s.size(), newest_s);
    const TraceView view{.time_s = time_s, .value = value};
    const signal::LocalFit looks = signal::localPolynomialAt(view, at_s, half_width_s, order, signal::Kernel::uniform);
    // The longest look that all shorter ones agree with.
    double low = -HUGE_VAL;
    double high = HUGE_VAL;
    std::size_t longest = 0;
    for (std::size_t k = 0; k < half_width_s.size(); ++k) {
        const double room = agreement_sigma * noise_ * looks.slope_gain[k];
        low = std::max(low, looks.slope_per_s[k] - room);
        high = std::min(high, looks.slope_per_s[k] + room);
        if (!(low <= high)) {
            break;
        }
        longest = k;
    }
    // What is agreed with may still be off by as much as the noise of the shorter looks: shorter ones are taken.
    const std::size_t taken = longest - std::min(longest, looks_shorter);
    trend_ = Trend{.time_s = newest_s,
                   .value = looks.value[taken],
                   .slope_per_s = looks.slope_per_s[taken],
                   .slope_u_per_s = noise_ * looks.slope_gain[taken],
                   .slope_doubt_per_s = noise_ * looks.slope_gain[taken],
                   .curvature_per_s2 = looks.curvature_per_s2[taken],
                   .curvature_u_per_s2 = noise_ * looks.curvature_gain[taken],
                   .bend_per_s2 = looks.curvature_per_s2[taken],
                   .bend_u_per_s2 = noise_ * looks.curvature_gain[taken],
                   .window_s = 2.0 * half_width_s[taken]};
    // Where nothing speaks against a parabola, its quieter figures are told.
    const std::vector<double> quiet_s{half_width_s[taken],
                                      half_width_s[longest - std::min(longest, looks_shorter_for_curvature)]};
    const std::vector<double> twice_s(2, newest_s);
    const signal::LocalFit parabola =
        signal::localPolynomialAt(view, twice_s, quiet_s, order - 1, signal::Kernel::uniform);
    if (std::abs(parabola.slope_per_s[0] - trend_->slope_per_s) < agrees_sigma * trend_->slope_doubt_per_s) {
        trend_->value = parabola.value[0];
        trend_->slope_per_s = parabola.slope_per_s[0];
        trend_->slope_u_per_s = noise_ * parabola.slope_gain[0];
        trend_->curvature_per_s2 = parabola.curvature_per_s2[1];
        trend_->curvature_u_per_s2 = noise_ * parabola.curvature_gain[1];
    }
}

} // namespace potwatch::watch
