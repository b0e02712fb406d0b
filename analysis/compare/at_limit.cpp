// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/at_limit.h"

#include "analysis/compare/trend_profile.h"

#include <boost/math/tools/toms748_solve.hpp>

#include <cmath>
#include <cstdint>
#include <string>

namespace potwatch::compare {

namespace {

constexpr double beyond = 10.0; // times below the lowest and above the highest x, no trend says anything

// Steps along x: by factors where every x is above 0, else by shares of the range that was tried.
class Steps {
public:
    Steps(const Trend& trend, double from)
        : by_factors_(trend.x_low > 0.0)
        , from_(from)
        , range_(trend.x_high - trend.x_low) {
        lowest_ = by_factors_ ? trend.x_low / beyond : trend.x_low - beyond * range_;
        highest_ = by_factors_ ? trend.x_high * beyond : trend.x_high + beyond * range_;
    }
    [[nodiscard]] double at(double way, double step) const {
        return by_factors_ ? from_ * std::exp(way * step) : from_ + way * step * range_;
    }
    [[nodiscard]] double most(double way) const {
        const double end = way < 0.0 ? lowest_ : highest_;
        return by_factors_ ? way * std::log(end / from_) : way * (end - from_) / range_;
    }
    [[nodiscard]] bool holds(double x) const { return x >= lowest_ && x <= highest_; }

private:
    bool by_factors_;
    double from_;
    double range_;
    double lowest_ = 0.0;
    double highest_ = 0.0;
};

// Where the trend itself meets the limit; NaN where it never does.
double meets(const Trend& trend, double limit) {
    const double g = (limit - trend.a) / trend.b;
    switch (trend.form) {
    case TrendForm::straight:
        return g;
    case TrendForm::logarithmic:
        return std::exp(g);
    case TrendForm::saturating:
        return g > 0.0 && g < 1.0 ? *trend.half_x * g / (1.0 - g) : std::nan("");
    }
    return std::nan("");
}

// The end of the trend's band on one side at x.
double bandEnd(const Trend& trend, const TrendProfile& profile, double x, double way) {
    const double y = valueAt(trend, x);
    const double one_run = oneRunHalfWidth(trend);
    TrendParameters near = profile.best();
    const auto half = stepToOne(
        [&](double s) { return profile.away({.through = TrendHeld::Through{.x = x, .y = y + way * s}}, near); },
        one_run, 1e6 * one_run);
    return half ? y + way * std::hypot(*half, one_run) : way * HUGE_VAL;
}

std::optional<double> oneRunUnder(const Trend& trend, const TrendProfile& profile, const Steps& steps, double limit) {
    const double way = trend.b > 0.0 ? -1.0 : 1.0; // where the limit is far
    const auto spare = [&](double step) { return limit - bandEnd(trend, profile, steps.at(way, step), 1.0); };
    constexpr double first_step = 0.1;
    double near = 0.0;
    double at_near = spare(near);
    for (double far = first_step;; far *= 2.0) {
        const bool last = far >= steps.most(way);
        far = last ? steps.most(way) : far;
        const double at_far = spare(far);
        if (at_far >= 0.0) {
            std::uintmax_t evaluations = 40;
            const auto near_enough = [](double a, double b) { return std::abs(b - a) < 1e-7; };
            const auto [left, right] =
                boost::math::tools::toms748_solve(spare, near, far, at_near, at_far, near_enough, evaluations);
            return steps.at(way, 0.5 * (left + right));
        }
        if (last) {
            return std::nullopt;
        }
        near = far;
        at_near = at_far;
    }
}

} // namespace

Result<AtLimit> atLimit(const Trend& trend, double limit) {
    const double x = meets(trend, limit);
    const Steps steps(trend, x);
    if (!std::isfinite(x) || !steps.holds(x)) {
        const bool above = limit > valueAt(trend, trend.x_high) && limit > valueAt(trend, trend.x_low);
        return tl::unexpected(Fault{
            .kind = FaultKind::missing,
            .what = std::string("the trend does not come to the limit anywhere near what was tried: all of it is ") +
                    (above ? "below" : "above"),
            .remedy = above ? "try runs that come nearer to it from below, or take a lower limit"
                            : "try runs that stay further below, or take a higher limit"});
    }
    AtLimit result{.limit = limit, .x = x};
    result.rising = trend.b > 0.0;
    result.outside = x < trend.x_low || x > trend.x_high;
    if (!(trend.degrees > 0.0)) {
        return result;
    }
    const TrendProfile profile(trend);
    for (const double way : {-1.0, 1.0}) {
        TrendParameters near = profile.best();
        constexpr double guess = 0.1;
        const auto step = stepToOne(
            [&](double s) {
                return profile.away({.through = TrendHeld::Through{.x = steps.at(way, s), .y = limit}}, near);
            },
            guess, steps.most(way));
        if (step) {
            (way < 0.0 ? result.low : result.high) = steps.at(way, *step);
        }
    }
    if (result.low && result.high) {
        result.estimate = Estimate{.value = x,
                                   .u = (*result.high - *result.low) / (2.0 * quantile95(trend)),
                                   .low = *result.low,
                                   .high = *result.high};
    }
    result.one_run = oneRunUnder(trend, profile, steps, limit);
    return result;
}

} // namespace potwatch::compare
