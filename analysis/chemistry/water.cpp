// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/water.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace potwatch::chemistry {

namespace {

// Source: IAPWS R7-97(2012), table 34.
constexpr std::array<double, 11> n{0.0,
                                   0.11670521452767e4,
                                   -0.72421316703206e6,
                                   -0.17073846940092e2,
                                   0.12020824702470e5,
                                   -0.32325550322333e7,
                                   0.14915108613530e2,
                                   -0.48232657361591e4,
                                   0.40511340542057e6,
                                   -0.23855557567849,
                                   0.65017534844798e3};

constexpr double zero_celsius_k = 273.15;
constexpr double kpa_per_mpa = 1000.0;
constexpr double highest_fitted_c = 200.0;

// Coefficients against temperature / 100 °C; least squares through the 21 values of
// tests/reference/data/water-saturation.csv.
constexpr std::array<double, 5> latent_heat{2500.9182, -237.0254, 2.8539, -8.2126, -2.0569};
constexpr std::array<double, 7> specific_heat{4.21924, -0.28186, 0.70586, -0.86809, 0.64492, -0.23986, 0.03620};

template<std::size_t terms>
double fitted(const std::array<double, terms>& coefficients, double temperature_c) {
    const double x = std::clamp(temperature_c, 0.0, highest_fitted_c) / 100.0;
    double sum = 0.0;
    for (std::size_t k = terms; k-- > 0;) {
        sum = sum * x + coefficients[k];
    }
    return sum;
}

Fault outOfRange(const std::string& what, const std::string& remedy) {
    return {.kind = FaultKind::range, .what = what, .where = {}, .remedy = remedy};
}

} // namespace

Result<double> saturationPressureKpa(double temperature_c) {
    if (!(temperature_c >= lowest_saturation_c && temperature_c <= highest_saturation_c)) {
        return tl::unexpected(outOfRange(
            fmt::format("water has no saturation pressure at {:.6g} °C", temperature_c),
            fmt::format("give a temperature from {:g} to {:g} °C", lowest_saturation_c, highest_saturation_c)));
    }
    const double temperature_k = temperature_c + zero_celsius_k;
    const double theta = temperature_k + n[9] / (temperature_k - n[10]);
    const double a = theta * theta + n[1] * theta + n[2];
    const double b = n[3] * theta * theta + n[4] * theta + n[5];
    const double c = n[6] * theta * theta + n[7] * theta + n[8];
    const double root = 2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c));
    return kpa_per_mpa * root * root * root * root;
}

Result<double> saturationTemperatureC(double pressure_kpa) {
    if (!(pressure_kpa >= lowest_saturation_kpa && pressure_kpa <= highest_saturation_kpa)) {
        return tl::unexpected(outOfRange(fmt::format("water has no boiling temperature at {:.6g} kPa", pressure_kpa),
                                         fmt::format("give an absolute pressure from {:g} to {:g} kPa",
                                                     lowest_saturation_kpa, highest_saturation_kpa)));
    }
    const double beta = std::pow(pressure_kpa / kpa_per_mpa, 0.25);
    const double e = beta * beta + n[3] * beta + n[6];
    const double f = n[1] * beta * beta + n[4] * beta + n[7];
    const double g = n[2] * beta * beta + n[5] * beta + n[8];
    const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
    const double sum = n[10] + d;
    return 0.5 * (sum - std::sqrt(sum * sum - 4.0 * (n[9] + n[10] * d))) - zero_celsius_k;
}

double latentHeatJPerG(double temperature_c) {
    return fitted(latent_heat, temperature_c);
}

double liquidSpecificHeatJPerGK(double temperature_c) {
    return fitted(specific_heat, temperature_c);
}

} // namespace potwatch::chemistry
