// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/plunge.h"

#include <boost/math/tools/minima.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::thermocouple {

namespace {

constexpr double least_step_k = 10.0;
constexpr double begun_share = 0.2;
constexpr std::size_t fewest_readings = 8;
constexpr double settled_lags = 3.0;

constexpr double counted_lags = 10.0;
constexpr double before_s = 3.0;        // of rest before the plunge
constexpr double taken_out_share = 0.1; // of the change, back again: it was taken out
constexpr double still_there_share = 0.01;
constexpr double resin_share = 0.1; // of the lag

Fault hardlyChanged(double step_k) {
    return {.kind = FaultKind::range,
            .what = fmt::format("the reading changed by {:.1f} K only", step_k),
            .where = {},
            .remedy = "put the probe from hot water into ice water and leave it there"};
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
        return tl::unexpected(hardlyChanged(step_k));
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

Result<PlungeLag> lagFromRecording(TraceView readings) {
    std::vector<double> time_s;
    std::vector<double> value_c;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        if (std::isfinite(readings.value[i]) && (time_s.empty() || readings.time_s[i] > time_s.back())) {
            time_s.push_back(readings.time_s[i]);
            value_c.push_back(readings.value[i]);
        }
    }
    const std::size_t count = time_s.size();
    if (count <= fewest_readings) {
        return lagFromPlunge({.time_s = time_s, .value = value_c}); // which says what is missing
    }
    const auto [lowest, highest] = std::minmax_element(value_c.begin(), value_c.end());
    if (*highest - *lowest < least_step_k) {
        return tl::unexpected(hardlyChanged(*highest - *lowest));
    }
    // The fastest change: over four readings, so that one off alone does not count.
    constexpr std::size_t over = 4;
    std::size_t fastest = 0;
    double most = 0.0;
    for (std::size_t i = 0; i + over < count; ++i) {
        const double rate = std::abs(value_c[i + over] - value_c[i]) / (time_s[i + over] - time_s[i]);
        if (rate > most) {
            most = rate;
            fastest = i;
        }
    }
    std::size_t first = fastest;
    while (first > 0 && time_s[fastest] - time_s[first] < before_s) {
        --first;
    }
    const double direction = value_c[fastest + over] > value_c[fastest] ? 1.0 : -1.0;
    std::size_t end = fastest + over; // one past the last that counts
    double farthest_k = 0.0;
    for (std::size_t i = end; i < count; ++i) {
        const double gone_k = direction * (value_c[i] - value_c[first]);
        farthest_k = std::max(farthest_k, gone_k);
        if (gone_k < (1.0 - taken_out_share) * farthest_k) {
            break;
        }
        end = gone_k >= (1.0 - still_there_share) * farthest_k ? i + 1 : end;
    }
    const auto part = [&](std::size_t to) {
        return TraceView{.time_s = std::span<const double>(time_s).subspan(first, to - first),
                         .value = std::span<const double>(value_c).subspan(first, to - first)};
    };
    Result<PlungeLag> lag = lagFromPlunge(part(end));
    if (lag) {
        const auto counted = std::upper_bound(time_s.begin(), time_s.end(), lag->from_s + counted_lags * lag->lag_s);
        const auto to = std::min(end, static_cast<std::size_t>(counted - time_s.begin()));
        lag = lagFromPlunge(part(to)).or_else([&](const Fault&) { return lagFromPlunge(part(end)); });
    }
    if (lag) {
        lag->u_s = std::hypot(lag->u_s, resin_share * lag->lag_s);
    }
    return lag;
}

} // namespace potwatch::thermocouple
