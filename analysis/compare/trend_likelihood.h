// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/trend.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::compare {

// How likely points are under a trend: what the fit, its bands and its inverse are all made of.

// Parameters of a trend with the scatter between runs, all in the units of the points.
struct TrendParameters {
    double a = 0.0;
    double b = 0.0;
    double half_x = 1.0;           // of the saturating form only
    double between_variance = 0.0; // of greatest likelihood: not corrected for the degrees of freedom
    double log_likelihood = 0.0;
};

// What is held fast while the likelihood is made greatest.
struct TrendHeld {
    struct Through {
        double x = 0.0;
        double y = 0.0;
    };
    std::optional<Through> through; // the trend passes this point
    std::optional<double> half_x;
};

// Greatest likelihood of points under a form, by damped Newton steps on (a, b, ln variance, ln half_x) with analytic
// second derivatives. Assumes: two measured points at different x; x > 0 but for the straight form.
// Shape: points stay alive as long as the object.
class TrendLikelihood {
public:
    TrendLikelihood(std::span<const TrendPoint> points, TrendForm form);

    // Without `near` from several starts, else from there alone.
    [[nodiscard]] TrendParameters greatest(const TrendHeld& held = {}, const TrendParameters* near = nullptr) const;

    // g(x) of a + b g(x).
    [[nodiscard]] double basis(double x, double half_x) const;

    [[nodiscard]] double leastHalf() const { return least_half_; }
    [[nodiscard]] double mostHalf() const { return most_half_; }

private:
    struct State;
    [[nodiscard]] State startAt(double half_x, const TrendHeld& held) const;
    [[nodiscard]] double weigh(const State& state, const TrendHeld& held, State* slope) const;
    void climb(State& state, const TrendHeld& held) const;

    std::vector<TrendPoint> points_; // y shifted and scaled to about 1
    TrendForm form_;
    double shift_ = 0.0;
    double scale_ = 1.0;
    double middle_ = 0.0; // of the basis of the forms without a half
    double width_ = 1.0;
    double least_half_ = 0.0;
    double most_half_ = 0.0;
};

// Parameters of the form besides the scatter.
[[nodiscard]] constexpr std::size_t parametersOf(TrendForm form) {
    return form == TrendForm::saturating ? 3 : 2;
}

// Twice the fall of the log-likelihood at which a value is no longer within the 95 % interval: that of Student's t for
// `measured` points and `degrees` of freedom, so that a straight line through measured points alone gets its classical
// intervals. Tends to 3.84 (chi-squared) for many points.
[[nodiscard]] double likelihoodFall95(double measured, double degrees);

} // namespace potwatch::compare
