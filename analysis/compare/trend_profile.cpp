// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/trend_profile.h"

#include <boost/math/distributions/students_t.hpp>
#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace potwatch::compare {

TrendProfile::TrendProfile(const Trend& trend)
    : likelihood_(trend.points, trend.form)
    , best_{.a = trend.a,
            .b = trend.b,
            .half_x = trend.half_x.value_or(1.0),
            .between_variance = 0.0,
            .log_likelihood = trend.log_likelihood}
    , fall95_(likelihoodFall95(static_cast<double>(trend.measured), trend.degrees))
    , measured_(static_cast<double>(trend.measured))
    , degrees_(trend.degrees) {}

double TrendProfile::away(const TrendHeld& held, TrendParameters& near) const {
    near = likelihood_.greatest(held, &near);
    const double fall = 2.0 * (best_.log_likelihood - near.log_likelihood);
    return std::sqrt(std::max(fall, 0.0) / fall95_);
}

double TrendProfile::studentAway(const TrendHeld& held, TrendParameters& near) const {
    const double share = away(held, near);
    return std::sqrt(degrees_ * std::expm1(share * share * fall95_ / measured_));
}

std::optional<double> stepToOne(const std::function<double(double)>& rises, double guess, double most,
                                double tolerance) {
    // Away from the fit the root of the fall grows nearly in proportion: secants from there are there in three steps.
    constexpr int secants = 6;
    double last = 0.0;
    double at_last = 0.0;
    double step = std::min(guess, most);
    for (int i = 0; i < secants; ++i) {
        const double at = rises(step);
        if (std::abs(at - 1.0) < tolerance) {
            return step;
        }
        const double next = step + (1.0 - at) * (step - last) / (at - at_last);
        if (!(next > 0.0) || !(next < most)) {
            break;
        }
        last = step;
        at_last = at;
        step = next;
    }
    double below = 0.0;
    double at_below = -1.0;
    double above = std::min(guess, most);
    double at_above = rises(above) - 1.0;
    while (at_above < 0.0) {
        if (above >= most) {
            return std::nullopt;
        }
        below = above;
        at_below = at_above;
        above = std::min(2.0 * above, most);
        at_above = rises(above) - 1.0;
    }
    if (at_above == 0.0) {
        return above;
    }
    std::uintmax_t evaluations = 60;
    const auto near_enough = [&](double a, double b) { return std::abs(b - a) <= tolerance * std::abs(b); };
    const auto [left, right] = boost::math::tools::toms748_solve([&](double at) { return rises(at) - 1.0; }, below,
                                                                 above, at_below, at_above, near_enough, evaluations);
    return 0.5 * (left + right);
}

double quantile95(const Trend& trend) {
    return boost::math::quantile(boost::math::students_t(trend.degrees), 0.975);
}

double oneRunHalfWidth(const Trend& trend) {
    return quantile95(trend) * std::hypot(trend.between_u, trend.typical_u);
}

} // namespace potwatch::compare
