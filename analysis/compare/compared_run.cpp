// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/compared_run.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::compare {

namespace {

Curve thinned(const Series& series) {
    Curve curve;
    const std::size_t count = series.time_s.size();
    if (count == 0 || series.temperature_c.size() != count) {
        return curve;
    }
    const double begin_s = series.time_s.front();
    const double span_s = series.time_s.back() - begin_s;
    constexpr std::size_t stretches = most_curve_points / 2;
    const auto add = [&](std::size_t i) {
        curve.time_s.push_back(series.time_s[i]);
        curve.temperature_c.push_back(series.temperature_c[i]);
    };
    std::size_t i = 0;
    for (std::size_t stretch = 0; stretch < stretches && i < count; ++stretch) {
        const double end_s = begin_s + span_s * static_cast<double>(stretch + 1) / stretches;
        const bool last = stretch + 1 == stretches;
        std::size_t low = count;
        std::size_t high = count;
        for (; i < count && (last || series.time_s[i] < end_s); ++i) {
            if (std::isnan(series.temperature_c[i])) {
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

} // namespace potwatch::compare
