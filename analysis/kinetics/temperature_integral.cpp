// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/temperature_integral.h"

#include <boost/math/special_functions/expint.hpp>

#include <cmath>
#include <numbers>

namespace potwatch::kinetics {

namespace {

// x exp(x) p(x), which neither overflows nor vanishes; by its asymptotic series where E1 would.
double scaledIntegral(double x) {
    constexpr double far = 500.0;
    if (x > far) {
        return 1.0 / x - 2.0 / (x * x) + 6.0 / (x * x * x);
    }
    return 1.0 - x * std::exp(x) * boost::math::expint(1, x);
}

} // namespace

double minusLog10TemperatureIntegral(double x) {
    return (x + std::log(x) - std::log(scaledIntegral(x))) / std::numbers::ln10;
}

double temperatureIntegralSlope(double x) {
    // p' = -exp(-x) / x^2
    return 1.0 / (x * scaledIntegral(x) * std::numbers::ln10);
}

} // namespace potwatch::kinetics
