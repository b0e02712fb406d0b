// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/series.h"

#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string_view>

namespace potwatch::findings {
namespace {

constexpr std::size_t most_series_samples = 100'000;

// A quantity of the balance at these times; NaN where the balance has not begun or has ended.
std::vector<double> withinBalance(const heat::Balance& balance, const std::vector<double>& at_nodes,
                                  const std::vector<double>& time_s) {
    std::vector<double> values = signal::linear(balance.course.time_s, at_nodes, time_s);
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (time_s[i] < balance.course.time_s.front() || time_s[i] > balance.course.time_s.back()) {
            values[i] = std::numeric_limits<double>::quiet_NaN();
        }
    }
    return values;
}

} // namespace

Series seriesOf(const RunStudy& study, const landmarks::Course& course, const std::optional<Power>& power,
                const std::optional<cure::Reference>& reference) {
    Series series;
    const Inputs& in = study.inputs;
    const Prepared& prepared = study.prepared;
    const std::size_t stride = 1 + (prepared.time_s.size() - 1) / most_series_samples;
    for (std::size_t i = 0; i < prepared.time_s.size(); i += stride) {
        const double at_s = prepared.time_s[i];
        if (at_s < course.time_s.front() || at_s > course.time_s.back()) {
            continue;
        }
        series.time_s.push_back(at_s);
        series.reading_c.push_back(prepared.value_c[i]);
    }
    series.temperature_c = signal::hermite(course.time_s, course.temperature_c, course.slope_k_per_s, series.time_s);
    const std::vector<double> noise_u =
        signal::uncertaintyAtKnots(study.curves.level, course.lag_s, study.curves.noise_k);
    series.temperature_u_k = signal::linear(course.time_s, noise_u, series.time_s);
    for (std::size_t i = 0; i < series.time_s.size(); ++i) {
        // The lag's part: its uncertainty times the reading's slope.
        const double slope = signal::linear(course.time_s, study.curves.level.fit.slope_per_s, series.time_s[i]);
        series.temperature_u_k[i] =
            std::hypot(std::hypot(series.temperature_u_k[i], in.lag_s.u * slope), in.thermocouple_u_k);
    }
    series.rate_k_per_min = signal::linear(course.rate_time_s, course.rate_k_per_s, series.time_s);
    for (double& rate : series.rate_k_per_min) {
        rate *= 60.0;
    }
    if (!study.balance || !study.balance->loss) {
        return series;
    }
    const heat::Balance& balance = *study.balance;
    const std::vector<double> heat = withinBalance(balance, balance.released_j, series.time_s);
    const std::vector<double> heat_u = withinBalance(balance, balance.released_u_j, series.time_s);
    if (in.masses_known) {
        series.power_w = signal::linear(power->time_s, power->value, series.time_s);
        series.heat_j = heat;
        series.heat_u_j = heat_u;
    }
    if (!reference || !study.run->batch.second_heating_of.empty()) {
        return series;
    }
    for (std::size_t i = 0; i < series.time_s.size(); ++i) {
        const Estimate degree =
            cure::degreeOf({.value_j = heat[i], .u_j = heat_u[i], .high_j = std::nullopt}, *reference);
        series.degree.push_back(degree.value);
        series.degree_low.push_back(degree.low);
        series.degree_high.push_back(degree.high);
    }
    return series;
}

std::vector<Event> eventsOf(const RunStudy& study, const landmarks::Course& course) {
    std::vector<Event> events = study.run->batch.events;
    const Inputs& in = study.inputs;
    const auto has = [&](std::string_view kind) {
        return std::any_of(events.begin(), events.end(), [&](const Event& e) { return e.kind == kind; });
    };
    if (in.dose) {
        if (!has("dose start")) {
            events.push_back({.time_s = in.dose->startS(), .kind = "dose start", .text = {}});
        }
        if (!has("dose end") && in.dose->endS() <= course.time_s.back()) {
            events.push_back({.time_s = in.dose->endS(), .kind = "dose end", .text = {}});
        }
    }
    std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    return events;
}

} // namespace potwatch::findings
