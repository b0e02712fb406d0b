// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/dose.h"

#include <algorithm>
#include <cstddef>

namespace potwatch::heat {

namespace {

std::optional<double> timeOf(std::span<const Event> events, std::string_view kind) {
    const auto found = std::find_if(events.begin(), events.end(), [&](const Event& e) { return e.kind == kind; });
    return found != events.end() ? std::optional(found->time_s) : std::nullopt;
}

DoseCourse straight(double from_s, double to_s, double total_g) {
    return {.time_s = {from_s, to_s}, .dosed_g = {0.0, total_g}};
}

// Grams of one step, or nothing when density or drop size is not stated.
std::optional<double> gramsOf(const DoseStep& step, const Dose& dose) {
    switch (step.unit) {
    case DoseUnit::gram:
        return step.amount;
    case DoseUnit::millilitre:
        return dose.density_g_per_ml ? std::optional(step.amount * *dose.density_g_per_ml) : std::nullopt;
    case DoseUnit::drop:
        return dose.density_g_per_ml && dose.drops_per_ml
                   ? std::optional(step.amount / *dose.drops_per_ml * *dose.density_g_per_ml)
                   : std::nullopt;
    }
    return std::nullopt;
}

DoseAsGiven fromSteps(const Dose& dose) {
    std::vector<DoseStep> steps = dose.steps;
    std::stable_sort(steps.begin(), steps.end(),
                     [](const DoseStep& a, const DoseStep& b) { return a.time_s < b.time_s; });
    // Steps may overlap: the sum of all at every time where one begins or ends.
    std::vector<double> times;
    std::vector<double> grams;
    for (const DoseStep& step : steps) {
        const std::optional<double> mass_g = gramsOf(step, dose);
        if (!mass_g) {
            return {.course = std::nullopt,
                    .missing = "the dose is given by volume: state density_g_per_ml (and drops_per_ml) in [dose]"};
        }
        grams.push_back(*mass_g);
        times.push_back(step.time_s);
        times.push_back(step.time_s + step.over_s);
    }
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    const auto dosed = [&](double at_s, bool with_sudden) {
        double sum_g = 0.0;
        for (std::size_t i = 0; i < steps.size(); ++i) {
            const double begin_s = steps[i].time_s;
            if (steps[i].over_s > 0.0) {
                sum_g += grams[i] * std::clamp((at_s - begin_s) / steps[i].over_s, 0.0, 1.0);
            } else if (at_s > begin_s || (with_sudden && at_s == begin_s)) {
                sum_g += grams[i];
            }
        }
        return sum_g;
    };
    DoseCourse course;
    for (const double at_s : times) {
        const double before_g = dosed(at_s, false);
        const double after_g = dosed(at_s, true);
        course.time_s.push_back(at_s);
        course.dosed_g.push_back(before_g);
        if (after_g > before_g) {
            course.time_s.push_back(at_s);
            course.dosed_g.push_back(after_g);
        }
    }
    return {.course = course, .missing = {}};
}

} // namespace

double DoseCourse::dosedAt(double at_s) const {
    if (time_s.empty() || at_s < time_s.front()) {
        return 0.0;
    }
    const auto after = std::upper_bound(time_s.begin(), time_s.end(), at_s);
    if (after == time_s.end()) {
        return dosed_g.back();
    }
    const auto k = static_cast<std::size_t>(after - time_s.begin()) - 1;
    const double u = (at_s - time_s[k]) / (time_s[k + 1] - time_s[k]);
    return dosed_g[k] + u * (dosed_g[k + 1] - dosed_g[k]);
}

double DoseCourse::rateAt(double at_s) const {
    const auto after = std::upper_bound(time_s.begin(), time_s.end(), at_s);
    if (after == time_s.begin() || after == time_s.end()) {
        return 0.0;
    }
    const auto k = static_cast<std::size_t>(after - time_s.begin()) - 1;
    return (dosed_g[k + 1] - dosed_g[k]) / (time_s[k + 1] - time_s[k]);
}

DoseAsGiven doseAsGiven(const Dose& dose, std::span<const Event> events, double run_end_s) {
    const std::optional<double> begun_s = timeOf(events, "dose start");
    const std::optional<double> ended_s = timeOf(events, "dose end");
    if (begun_s && ended_s && *ended_s > *begun_s && dose.total_g) {
        return {.course = straight(*begun_s, *ended_s, *dose.total_g), .missing = {}};
    }
    if (!dose.steps.empty()) {
        return fromSteps(dose);
    }
    const std::optional<double> from_s = begun_s ? begun_s : dose.start_s;
    if (!from_s) {
        return {.course = std::nullopt,
                .missing = "when dosing began is not stated: give [dose] start_s or an event \"dose start\""};
    }
    if (dose.rate_g_per_min && *dose.rate_g_per_min > 0.0) {
        const double rate_g_per_s = *dose.rate_g_per_min / 60.0;
        double until_s = dose.total_g ? *from_s + *dose.total_g / rate_g_per_s : std::max(run_end_s, *from_s);
        if (ended_s && *ended_s > *from_s) {
            until_s = std::min(until_s, *ended_s);
        }
        return {.course = straight(*from_s, until_s, rate_g_per_s * (until_s - *from_s)), .missing = {}};
    }
    if (dose.total_g) {
        // Neither rate nor end: the whole at once.
        return {.course = DoseCourse{.time_s = {*from_s, *from_s}, .dosed_g = {0.0, *dose.total_g}}, .missing = {}};
    }
    return {.course = std::nullopt,
            .missing = "how much was dosed is not stated: give [dose] total_g or rate_g_per_min"};
}

double specificHeatJPerGK(const Dose& dose) {
    constexpr double watery_j_per_g_k = 3.0;
    return dose.specific_heat_j_per_g_k.value_or(watery_j_per_g_k);
}

} // namespace potwatch::heat
