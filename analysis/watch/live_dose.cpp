// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/live_dose.h"

#include "analysis/heat/dose.h"

#include <algorithm>
#include <string_view>
#include <vector>

namespace potwatch::watch {

namespace {

std::optional<double> markOf(std::span<const Event> events, std::string_view kind, double now_s) {
    std::optional<double> at_s;
    for (const Event& event : events) {
        if (event.kind == kind && event.time_s <= now_s && (!at_s || event.time_s < *at_s)) {
            at_s = event.time_s;
        }
    }
    return at_s;
}

std::optional<double> startOf(const Dose& dose, std::optional<double> begun_s) {
    if (begun_s || dose.steps.empty()) {
        return begun_s ? begun_s : dose.start_s;
    }
    return std::min_element(dose.steps.begin(), dose.steps.end(),
                            [](const DoseStep& a, const DoseStep& b) { return a.time_s < b.time_s; })
        ->time_s;
}

} // namespace

LiveDose liveDose(const std::optional<Dose>& dose, std::span<const Event> events, double now_s) {
    constexpr double whole = 0.999; // rounding of the last step or second does not keep a dose going
    const std::optional<double> begun_s = markOf(events, "dose start", now_s);
    const std::optional<double> ended_s = markOf(events, "dose end", now_s);
    if (!dose) {
        const DosePhase marked = ended_s ? DosePhase::after : begun_s ? DosePhase::during : DosePhase::none;
        return {.phase = marked, .dosed_g = {}, .share = {}, .rate_g_per_s = {}};
    }
    LiveDose live{.phase = DosePhase::before, .dosed_g = 0.0, .share = {}, .rate_g_per_s = {}};
    const std::optional<double> start_s = startOf(*dose, begun_s);
    if (start_s && now_s >= *start_s) {
        live.phase = ended_s ? DosePhase::after : DosePhase::during;
        const bool steady = dose->rate_g_per_min && *dose->rate_g_per_min > 0.0 && dose->steps.empty();
        if (steady || !dose->steps.empty() || ended_s) {
            // The marks that are not made yet must not be taken for the end of the dose.
            std::vector<Event> made;
            for (const Event& event : events) {
                if (event.time_s <= now_s) {
                    made.push_back(event);
                }
            }
            const heat::DoseAsGiven given = heat::doseAsGiven(*dose, made, now_s);
            live.dosed_g = given.course ? std::optional(given.course->dosedAt(now_s)) : std::nullopt;
        } else {
            live.dosed_g.reset();
        }
        if (steady && live.phase == DosePhase::during) {
            live.rate_g_per_s = *dose->rate_g_per_min / 60.0;
        }
    } else if (ended_s) {
        live.phase = DosePhase::after;
    }
    if (dose->total_g && *dose->total_g > 0.0 && live.dosed_g) {
        live.share = std::min(*live.dosed_g / *dose->total_g, 1.0);
        if (live.phase == DosePhase::during && *live.share >= whole) {
            live.phase = DosePhase::after;
            live.rate_g_per_s.reset();
        }
    }
    return live;
}

} // namespace potwatch::watch
