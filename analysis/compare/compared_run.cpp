// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/compared_run.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::compare {

namespace {

// How far along a trace every sample lies: half by time, half by how much the temperature has moved, so that a fast
// rise gets its share of the points. NaN where there is no temperature. From 0 to 1.
std::vector<double> courseOf(const Series& series) {
    std::vector<double> moved(series.time_s.size(), std::nan(""));
    double sum_k = 0.0;
    double last_c = std::nan("");
    for (std::size_t i = 0; i < moved.size(); ++i) {
        const double at_c = series.temperature_c[i];
        if (!std::isnan(at_c)) {
            sum_k += std::isnan(last_c) ? 0.0 : std::abs(at_c - last_c);
            last_c = at_c;
            moved[i] = sum_k;
        }
    }
    const double span_s = series.time_s.back() - series.time_s.front();
    for (std::size_t i = 0; i < moved.size(); ++i) {
        const double by_time = span_s > 0.0 ? (series.time_s[i] - series.time_s.front()) / span_s : 1.0;
        moved[i] = sum_k > 0.0 ? 0.5 * by_time + 0.5 * moved[i] / sum_k : by_time + 0.0 * moved[i];
    }
    return moved;
}

Curve thinned(const Series& series) {
    Curve curve;
    const std::size_t count = series.time_s.size();
    if (count == 0 || series.temperature_c.size() != count) {
        return curve;
    }
    const std::vector<double> course = courseOf(series);
    constexpr std::size_t stretches = most_curve_points / 2;
    const auto add = [&](std::size_t i) {
        curve.time_s.push_back(series.time_s[i]);
        curve.temperature_c.push_back(series.temperature_c[i]);
    };
    std::size_t i = 0;
    for (std::size_t stretch = 0; stretch < stretches && i < count; ++stretch) {
        const double end = static_cast<double>(stretch + 1) / stretches;
        const bool last = stretch + 1 == stretches;
        std::size_t low = count;
        std::size_t high = count;
        for (; i < count && (last || std::isnan(course[i]) || course[i] < end); ++i) {
            if (std::isnan(course[i])) {
                continue;
            }
            low = low == count || series.temperature_c[i] < series.temperature_c[low] ? i : low;
            high = high == count || series.temperature_c[i] > series.temperature_c[high] ? i : high;
        }
        if (low == count) {
            continue;
        }
        add(std::min(low, high));
        if (low != high) {
            add(std::max(low, high));
        }
    }
    return curve;
}

} // namespace

ComparedRun comparedRun(const Batch& batch, const Analysis& analysis, std::string content) {
    ComparedRun run{.name = analysis.findings.run,
                    .file = analysis.findings.file,
                    .content = std::move(content),
                    .batch = batch,
                    .findings = analysis.findings,
                    .events = analysis.events,
                    .start_c = std::nullopt,
                    .curve = thinned(analysis.series)};
    const Series& series = analysis.series;
    for (std::size_t i = 0; i < series.temperature_c.size(); ++i) {
        if (!std::isnan(series.temperature_c[i])) {
            const double u = i < series.temperature_u_k.size() ? series.temperature_u_k[i] : 0.0;
            run.start_c = normalEstimate(series.temperature_c[i], std::isnan(u) ? 0.0 : u);
            break;
        }
    }
    return run;
}

Estimate withoutCommonError(const ComparedRun& run, const Estimate& temperature) {
    const auto& inputs = run.findings.inputs;
    const auto probe =
        std::find_if(inputs.begin(), inputs.end(), [](const Input& input) { return input.name == "thermocouple"; });
    const double common_u = probe == inputs.end() ? 0.0 : probe->u.value_or(0.0);
    const auto left = [](double whole, double common) {
        return std::sqrt(std::max(0.0, whole * whole - common * common));
    };
    const double common_half = coverage_factor_95 * common_u;
    return {.value = temperature.value,
            .u = left(temperature.u, common_u),
            .low = temperature.value - left(temperature.value - temperature.low, common_half),
            .high = temperature.value + left(temperature.high - temperature.value, common_half)};
}

} // namespace potwatch::compare
