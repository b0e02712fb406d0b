// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/at_limit.h"

#include "analysis/compare/trend_profile.h"

#include <boost/math/distributions/students_t.hpp>
#include <boost/math/tools/toms748_solve.hpp>

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

namespace potwatch::compare {

namespace {

constexpr double beyond = 10.0;     // times below the lowest and above the highest x, no trend says anything
constexpr double one_side = 0.025;  // of a 95 % interval
constexpr double form_error = 0.03; // of the distance from the limit: no form of trend holds exactly far from it
constexpr double tiny = 1e-300;

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

// Every form that the runs do not speak against, weighed by AICc: a single one would be surer of itself than the runs
// can be of it.
class Plausible {
public:
    Plausible(const Trend& trend, double limit) {
        std::vector<TrendPoint> points = trend.points;
        if (!trend.asked) {
            for (TrendPoint& point : points) {
                point.u = std::hypot(point.u, form_error * (point.y - limit));
            }
        }
        double sum = 0.0;
        for (const TrendScore& score : trend.tried) {
            Result<Trend> fitted = trend.asked ? Result<Trend>(trend) : fitTrend(points, score.form);
            if (!fitted || !(fitted->degrees > 0.0)) {
                continue;
            }
            const auto& aicc = fitted->tried.front().aicc;
            const double weight = trend.by_aicc ? aicc ? std::exp(-0.5 * *aicc) : 0.0 : 1.0;
            forms_.push_back({.trend = *std::move(fitted), .weight = weight});
            sum += weight;
        }
        for (Form& form : forms_) {
            form.weight /= sum;
            form.profile.emplace(form.trend);
            form.near = form.profile->best();
            form.one_run = oneRunHalfWidth(form.trend);
            form.quantile = quantile95(form.trend);
        }
    }

    // How likely the trend passes the limit before x.
    [[nodiscard]] double passedBefore(double x, double limit, bool rising) {
        double passed = 0.0;
        for (Form& form : forms_) {
            const double t = form.profile->studentAway({.through = TrendHeld::Through{.x = x, .y = limit}}, form.near);
            const bool after = (valueAt(form.trend, x) > limit) == rising;
            passed += form.weight * below(form, after ? t : -t);
        }
        return passed;
    }

    // How likely one more run at x is over the limit.
    [[nodiscard]] double oneRunOver(double x, double limit) {
        double over = 0.0;
        for (Form& form : forms_) {
            const double y = valueAt(form.trend, x);
            const double way = y < limit ? 1.0 : -1.0;
            TrendParameters near = form.profile->best();
            const auto half = stepToOne(
                [&](double s) {
                    return form.profile->away({.through = TrendHeld::Through{.x = x, .y = y + way * s}}, near);
                },
                form.one_run, 1e6 * form.one_run);
            const double room = half ? std::hypot(*half, form.one_run) : HUGE_VAL;
            over += form.weight * below(form, form.quantile * (y - limit) / room);
        }
        return over;
    }

private:
    struct Form {
        Trend trend;
        double weight = 0.0;
        std::optional<TrendProfile> profile = {};
        TrendParameters near = {};
        double one_run = 0.0;
        double quantile = 0.0;
    };

    [[nodiscard]] static double below(const Form& form, double t) {
        return std::isfinite(t) ? boost::math::cdf(boost::math::students_t(form.trend.degrees), t)
               : t > 0.0        ? 1.0
                                : 0.0;
    }

    std::vector<Form> forms_;
};

// The first x on one side at which `share` comes down to that of one side of a 95 % interval; empty where it does not.
template<class Share>
std::optional<double> outermost(const Steps& steps, double way, const Share& share) {
    const auto spare = [&](double step) { return std::log(std::max(share(steps.at(way, step)), tiny) / one_side); };
    constexpr double first_step = 0.1;
    double near = 0.0;
    double at_near = spare(near);
    if (at_near <= 0.0) {
        return steps.at(way, near);
    }
    for (double step = first_step;; step *= 1.5) {
        const bool last = near + step >= steps.most(way);
        const double far = last ? steps.most(way) : near + step;
        const double at_far = spare(far);
        if (at_far <= 0.0) {
            std::uintmax_t evaluations = 60;
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
    Plausible plausible(trend, limit);
    result.low = outermost(steps, -1.0, [&](double at) { return plausible.passedBefore(at, limit, result.rising); });
    result.high =
        outermost(steps, 1.0, [&](double at) { return 1.0 - plausible.passedBefore(at, limit, result.rising); });
    if (x > trend.x_high) { // how a trend goes on beyond what was tried nobody knows
        result.high.reset();
    } else if (x < trend.x_low) {
        result.low.reset();
    }
    if (result.low && result.high) {
        result.estimate = Estimate{.value = x,
                                   .u = (*result.high - *result.low) / (2.0 * quantile95(trend)),
                                   .low = *result.low,
                                   .high = *result.high};
    }
    result.one_run =
        outermost(steps, result.rising ? -1.0 : 1.0, [&](double at) { return plausible.oneRunOver(at, limit); });
    return result;
}

} // namespace potwatch::compare
