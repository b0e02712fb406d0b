// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/isoperibol.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <string>
#include <utility>

namespace potwatch::heat {

namespace {

constexpr double dickinson_share = 0.60;
constexpr std::size_t fewest_rows = 3;

Fault fault(FaultKind kind, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

std::size_t nearestRow(TraceView trace, double at_s) {
    const auto after = std::lower_bound(trace.time_s.begin(), trace.time_s.end(), at_s);
    const auto row = static_cast<std::size_t>(std::distance(trace.time_s.begin(), after));
    if (row == 0 || (row < trace.size() && trace.time_s[row] - at_s < at_s - trace.time_s[row - 1])) {
        return row;
    }
    return row - 1;
}

struct Drift {
    double k_per_s = 0.0;
    double mean_c = 0.0;
};

Drift driftOf(TraceView trace, std::size_t first, std::size_t last) {
    const auto count = static_cast<double>(last - first + 1);
    double mean_s = 0.0;
    Drift drift;
    for (std::size_t i = first; i <= last; ++i) {
        mean_s += trace.time_s[i] / count;
        drift.mean_c += trace.value[i] / count;
    }
    double products = 0.0;
    double squares = 0.0;
    for (std::size_t i = first; i <= last; ++i) {
        products += (trace.time_s[i] - mean_s) * (trace.value[i] - drift.mean_c);
        squares += (trace.time_s[i] - mean_s) * (trace.time_s[i] - mean_s);
    }
    drift.k_per_s = products / squares;
    return drift;
}

// Integral from row i to i + 1 of the parabola through those and row k.
double parabolicStep(TraceView trace, std::size_t i, std::size_t k) {
    const double step_s = trace.time_s[i + 1] - trace.time_s[i];
    const double slope = (trace.value[i + 1] - trace.value[i]) / step_s;
    const double other = (trace.value[k] - trace.value[i]) / (trace.time_s[k] - trace.time_s[i]);
    const double half_curvature = (other - slope) / (trace.time_s[k] - trace.time_s[i + 1]);
    return step_s * 0.5 * (trace.value[i] + trace.value[i + 1]) - half_curvature * step_s * step_s * step_s / 6.0;
}

// Integral of the trace between two rows [K s], as if from 0 °C.
double integral(TraceView trace, std::size_t first, std::size_t last) {
    double sum = 0.0;
    for (std::size_t i = first; i < last; ++i) {
        const bool before = i > first;
        const bool after = i + 2 <= last;
        const double left = before ? parabolicStep(trace, i, i - 1) : 0.0;
        const double right = after ? parabolicStep(trace, i, i + 2) : 0.0;
        sum += before && after ? 0.5 * (left + right) : left + right;
    }
    return sum;
}

// When the trace first passes a temperature between rows `first` and `last`: cubic through the four rows around.
double timeOfPassing(TraceView trace, std::size_t first, std::size_t last, double temperature_c) {
    std::size_t i = first;
    while (i + 2 < last && trace.value[i + 1] < temperature_c) {
        ++i;
    }
    const std::size_t from = std::min(i > first ? i - 1 : i, last >= 3 ? last - 3 : 0);
    const std::size_t count = std::min<std::size_t>(4, last - from + 1);
    const auto cubic = [&](double at_s) {
        double sum = 0.0;
        for (std::size_t j = from; j < from + count; ++j) {
            double weight = 1.0;
            for (std::size_t k = from; k < from + count; ++k) {
                weight *= k == j ? 1.0 : (at_s - trace.time_s[k]) / (trace.time_s[j] - trace.time_s[k]);
            }
            sum += weight * trace.value[j];
        }
        return sum;
    };
    double low_s = trace.time_s[i];
    double high_s = trace.time_s[i + 1];
    for (int halving = 0; halving < 60; ++halving) {
        const double middle_s = 0.5 * (low_s + high_s);
        (cubic(middle_s) < temperature_c ? low_s : high_s) = middle_s;
    }
    return 0.5 * (low_s + high_s);
}

} // namespace

Result<CalorimetricRise> calorimetricRise(TraceView trace, const Periods& periods) {
    if (trace.time_s.size() != trace.value.size() || trace.size() < fewest_rows) {
        return tl::unexpected(fault(FaultKind::input,
                                    "the calorimeter's trace is empty or its columns differ in length",
                                    "give times and temperatures row by row"));
    }
    const std::size_t from = nearestRow(trace, periods.from_s);
    const std::size_t start = nearestRow(trace, periods.start_s);
    const std::size_t end = nearestRow(trace, periods.end_s);
    const std::size_t to = nearestRow(trace, periods.to_s);
    if (start + 1 < from + fewest_rows || end + 1 < start + fewest_rows || to + 1 < end + fewest_rows) {
        return tl::unexpected(fault(FaultKind::input, "a period of the calorimetric run has fewer than three readings",
                                    "record longer before and after the reaction"));
    }
    const Drift fore = driftOf(trace, from, start);
    const Drift after = driftOf(trace, end, to);
    CalorimetricRise rise{.raw_k = trace.value[end] - trace.value[start],
                          .fore_drift_k_per_s = fore.k_per_s,
                          .after_drift_k_per_s = after.k_per_s,
                          .fore_mean_c = fore.mean_c,
                          .after_mean_c = after.mean_c};
    if (!(rise.raw_k > 0.0) || fore.k_per_s == after.k_per_s || fore.mean_c == after.mean_c) {
        return tl::unexpected(fault(FaultKind::range, "the calorimeter does not warm, or drifts alike before and after",
                                    "check where the periods begin and end"));
    }
    rise.exchange_per_s = (fore.k_per_s - after.k_per_s) / (after.mean_c - fore.mean_c);
    const double start_s = trace.time_s[start];
    const double end_s = trace.time_s[end];
    const double drifted_k = (fore.k_per_s + rise.exchange_per_s * fore.mean_c) * (end_s - start_s) -
                             rise.exchange_per_s * integral(trace, start, end);
    rise.regnault_pfaundler_k = rise.raw_k - drifted_k;
    rise.dickinson_s = timeOfPassing(trace, start, end, trace.value[start] + dickinson_share * rise.raw_k);
    rise.dickinson_k =
        rise.raw_k - fore.k_per_s * (rise.dickinson_s - start_s) - after.k_per_s * (end_s - rise.dickinson_s);
    rise.equal_area_s = (drifted_k + fore.k_per_s * start_s - after.k_per_s * end_s) / (fore.k_per_s - after.k_per_s);
    return rise;
}

} // namespace potwatch::heat
