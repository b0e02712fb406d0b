// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <vector>

namespace potwatch::watch {

// How a reading stands and moves at its newest sample.
struct Trend {
    double time_s = 0.0;
    double value = 0.0;
    double slope_per_s = 0.0;
    double slope_u_per_s = 0.0;
    double slope_doubt_per_s = 0.0; // the same, with what a change of the bend that the noise hides could make of it
    double curvature_per_s2 = 0.0;  // second derivative
    double curvature_u_per_s2 = 0.0;
    double bend_per_s2 = 0.0; // the cubic's second derivative: follows sooner, and is noisier
    double bend_u_per_s2 = 0.0;
    double window_s = 0.0; // that was looked back

    bool operator==(const Trend&) const = default;
};

// The trend of one reading from its past alone: a cubic through the last seconds, read at its newest end, or a
// parabola where the cubic does not speak against it. It looks
// back nearly as far as all shorter looks still agree with within their noise (intersection of confidence intervals, as
// in signal::smooth), so that a pot at rest gives a quiet rate and one that takes off a prompt one. Single readings far
// off are left out; three that stand off together for a second are a step (a probe put into another pot): the trend
// begins anew, as it does after a gap. Source: A. Goldenshluger, A. Nemirovski, Math. Methods Statist. 6 (1997) 135
// (the rule; from memory).
class LiveTrend {
public:
    // Assumes: time_s after the last one's, value finite. True where there is a new trend.
    bool add(double time_s, double value);

    // Empty until there are enough readings, and again after a step.
    [[nodiscard]] const std::optional<Trend>& trend() const { return trend_; }
    // Standard deviation of a reading's noise, in its own unit.
    [[nodiscard]] double noise() const { return noise_; }
    // Usual time between two readings.
    [[nodiscard]] std::optional<double> intervalS() const;

private:
    struct Sample {
        double time_s = 0.0;
        double value = 0.0;
    };

    [[nodiscard]] bool standsOff(const Sample& sample) const;
    bool take(const Sample& sample);
    void beginAnew();
    // Of readings that mostly repeat the one before, the least change [unit]; 0 where there is none, or they move.
    [[nodiscard]] double stepWhileResting() const;
    void measureNoise();
    void fit();

    std::deque<Sample> bins_;   // averages of a quarter of a second, or single readings where they come slower
    std::deque<double> raw_;    // the last readings, for their steps
    std::vector<Sample> aside_; // readings that stand off, until it is known what they are
    Sample sum_;                // of the bin that is being filled
    std::size_t in_sum_ = 0;
    double sum_from_s_ = 0.0;
    std::optional<double> last_s_;
    double interval_s_ = 0.0; // running mean; 0 = not known
    double noise_ = 0.0;
    double noise_from_s_ = 0.0;
    std::optional<Trend> trend_;
};

} // namespace potwatch::watch
