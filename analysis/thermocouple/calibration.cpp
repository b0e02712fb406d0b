// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/calibration.h"

#include "analysis/chemistry/water.h"

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch::thermocouple {

namespace {

constexpr double lowest_air_kpa = 40.0; // about 7000 m up
constexpr double highest_air_kpa = 110.0;
constexpr double farthest_k = 10.0;

constexpr double least_step_k = 10.0;
constexpr double begun_share = 0.2;
constexpr std::size_t fewest_readings = 8;
constexpr double settled_lags = 3.0;

Fault farOff(const char* where, double reading_c, double true_c) {
    return {.kind = FaultKind::range,
            .what =
                fmt::format("in {} the probe read {:.1f} °C, where it should read {:.1f} °C", where, reading_c, true_c),
            .where = {},
            .remedy = "check the probe and its type, and that ice and boiling water are not mixed up"};
}

// Least squares of end + step exp(-(t - from) / lag) for a given lag: the sum of squares that is left.
double sumOfSquares(TraceView readings, std::size_t from, double lag_s) {
    double n = 0.0;
    double se = 0.0;
    double see = 0.0;
    double sv = 0.0;
    double sve = 0.0;
    const auto decay = [&](std::size_t i) { return std::exp(-(readings.time_s[i] - readings.time_s[from]) / lag_s); };
    for (std::size_t i = from; i < readings.value.size(); ++i) {
        const double e = decay(i);
        n += 1.0;
        se += e;
        see += e * e;
        sv += readings.value[i];
        sve += readings.value[i] * e;
    }
    const double step = (n * sve - se * sv) / (n * see - se * se);
    const double end = (sv - step * se) / n;
    double sum = 0.0;
    for (std::size_t i = from; i < readings.value.size(); ++i) {
        const double residual = readings.value[i] - end - step * decay(i);
        sum += residual * residual;
    }
    return sum;
}

} // namespace

Result<Correction> correctionFrom(const FixedPoints& points) {
    if (!(points.pressure_kpa >= lowest_air_kpa && points.pressure_kpa <= highest_air_kpa)) {
        return tl::unexpected(Fault{.kind = FaultKind::range,
                                    .what = fmt::format("no air on land has a pressure of {} kPa", points.pressure_kpa),
                                    .where = {},
                                    .remedy = "give the air's own pressure, 40 to 110 kPa"});
    }
    const Result<double> boils_c = chemistry::saturationTemperatureC(points.pressure_kpa);
    if (!boils_c) {
        return tl::unexpected(boils_c.error());
    }
    if (!(std::abs(points.ice_c) <= farthest_k)) {
        return tl::unexpected(farOff("melting ice", points.ice_c, 0.0));
    }
    if (!(std::abs(points.boiling_c - *boils_c) <= farthest_k)) {
        return tl::unexpected(farOff("boiling water", points.boiling_c, *boils_c));
    }
    const double scale = *boils_c / (points.boiling_c - points.ice_c);
    return Correction{.scale = scale, .offset_k = -scale * points.ice_c};
}

Result<PlungeLag> lagFromPlunge(TraceView readings) {
    const auto missing = [](std::string what, std::string remedy) {
        return tl::unexpected(
            Fault{.kind = FaultKind::missing, .what = std::move(what), .where = {}, .remedy = std::move(remedy)});
    };
    const std::size_t count = readings.value.size();
    if (count <= fewest_readings) {
        return missing("there are too few readings of the plunge", "record faster, or for longer");
    }
    const double before_c = readings.value.front();
    const double step_k = readings.value.back() - before_c;
    if (!(std::abs(step_k) >= least_step_k)) {
        return tl::unexpected(Fault{.kind = FaultKind::range,
                                    .what = fmt::format("the reading changed by {:.1f} K only", step_k),
                                    .where = {},
                                    .remedy = "put the probe from ice water into hot water and leave it there"});
    }
    std::size_t from = count; // the first reading of those at the end that have begun
    while (from > 0 && (readings.value[from - 1] - before_c) / step_k >= begun_share) {
        --from;
    }
    if (count - from < fewest_readings) {
        return missing("too few readings follow the plunge", "record faster, or leave the probe there for longer");
    }
    const double span_s = readings.time_s.back() - readings.time_s[from];
    const double shortest_s = span_s / static_cast<double>(count - from) / 4.0; // faster than the readings can tell
    constexpr int bits = 30;
    const auto [log_lag, left] = boost::math::tools::brent_find_minima(
        [&](double log_lag_s) { return sumOfSquares(readings, from, std::exp(log_lag_s)); }, std::log(shortest_s),
        std::log(span_s), bits);
    const double lag_s = std::exp(log_lag);
    if (span_s < settled_lags * lag_s) {
        return missing("the reading had not settled when the plunge ended", "leave the probe there for longer");
    }
    // The sum of squares grows by s² where the lag is one standard uncertainty off.
    constexpr double part = 0.02;
    const double bend = (sumOfSquares(readings, from, lag_s * (1.0 + part)) +
                         sumOfSquares(readings, from, lag_s * (1.0 - part)) - 2.0 * left) /
                        (part * lag_s * part * lag_s);
    constexpr double unknowns = 3.0;
    const double variance = left / (static_cast<double>(count - from) - unknowns);
    return PlungeLag{.lag_s = lag_s, .u_s = std::sqrt(2.0 * variance / bend), .from_s = readings.time_s[from]};
}

} // namespace potwatch::thermocouple
