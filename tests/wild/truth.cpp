// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/wild_run.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::wild {
namespace {

// The highest of T + (1 - degree) x resin x heat / heat capacity while a catalyst is in, up to the first boiling.
std::optional<double> mtsr(const Pot& pot, const std::vector<Moment>& until_end) {
    std::optional<double> highest_c;
    for (const Moment& now : until_end) {
        if (now.pot_c > pot.boiling_c) {
            break;
        }
        if (now.dosed_g > 0.0) {
            const double reach_c = now.pot_c + (1.0 - now.degree) * totalHeat(pot) / now.capacity_j_per_k;
            highest_c = std::max(highest_c.value_or(reach_c), reach_c);
        }
    }
    return highest_c;
}

} // namespace

Truth truthOf(const Draft& draft, const std::vector<Moment>& history, double end_s) {
    std::vector<Moment> seen;
    std::copy_if(history.begin(), history.end(), std::back_inserter(seen),
                 [end_s](const Moment& moment) { return moment.time_s <= end_s + 1e-9; });
    // Where the probe stands: one probe says nothing of how warm it is elsewhere.
    const auto there = [&draft](const Moment& now) {
        return now.pot_c + draft.probe.wall_share * (now.wall_c - now.pot_c);
    };
    const auto peak = std::max_element(seen.begin(), seen.end(),
                                       [&](const Moment& a, const Moment& b) { return there(a) < there(b); });
    const Moment& end = seen.back();
    std::size_t steepest = 1;
    // A draft that is given up may end before it has begun: then nothing rises.
    const auto rate = [&seen](std::size_t i) {
        return i + 1 < seen.size() ? (seen[i + 1].pot_c - seen[i - 1].pot_c) / (seen[i + 1].time_s - seen[i - 1].time_s)
                                   : 0.0;
    };
    for (std::size_t i = 1; i + 1 < seen.size(); ++i) {
        if (rate(i) > rate(steepest)) {
            steepest = i;
        }
    }
    Truth truth{.peak_temperature_c = there(*peak),
                .peak_time_s = peak->time_s,
                .heat_released_j = end.released_j,
                .degree_of_cure_final = end.degree,
                .loss_coefficient_w_per_k = draft.pot.stretches.front().loss_w_per_k,
                .loss_exponent = draft.pot.stretches.front().loss_exponent,
                .heat_over_heat_capacity_at_the_end_k = end.released_j / end.capacity_j_per_k,
                .water_evaporated_g = end.evaporated_g,
                .max_rate_k_per_min = 60.0 * rate(steepest)};
    if (!draft.pot.doses.empty()) {
        truth.mtsr_c = mtsr(draft.pot, seen);
    }
    if (!draft.pot.doses.empty() && draft.plain_start && rate(steepest) > 0.0) {
        const double baseline_c = draft.pot.start_c;
        truth.onset_extrapolated_s = seen[steepest].time_s - (seen[steepest].pot_c - baseline_c) / rate(steepest);
    }
    return truth;
}

} // namespace potwatch::wild
