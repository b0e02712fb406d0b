// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/line_fit.h"

#include <boost/math/distributions/students_t.hpp>

#include <cmath>
#include <cstddef>

namespace potwatch::kinetics {

LineFit fitLine(std::span<const double> x, std::span<const double> y) {
    const auto count = static_cast<double>(x.size());
    double mean_x = 0.0;
    double mean_y = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        mean_x += x[i] / count;
        mean_y += y[i] / count;
    }
    LineFit fit{.degrees = count - 2.0};
    double products = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        fit.squares_of_x += (x[i] - mean_x) * (x[i] - mean_x);
        products += (x[i] - mean_x) * (y[i] - mean_y);
    }
    fit.slope = fit.squares_of_x > 0.0 ? products / fit.squares_of_x : 0.0;
    fit.intercept = mean_y - fit.slope * mean_x;
    double residual = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double off = y[i] - fit.intercept - fit.slope * x[i];
        residual += off * off;
    }
    if (fit.degrees > 0.0 && fit.squares_of_x > 0.0) {
        fit.slope_u = std::sqrt(residual / fit.degrees / fit.squares_of_x);
    }
    return fit;
}

Estimate studentEstimate(double value, double u, double degrees) {
    const double factor = boost::math::quantile(boost::math::students_t(degrees), 0.975);
    return {.value = value, .u = u, .low = value - factor * u, .high = value + factor * u};
}

} // namespace potwatch::kinetics
