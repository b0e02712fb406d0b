// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/evaporation.h"

#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::heat {

namespace {
constexpr double relative_u = 0.4;
constexpr double smallest_u_g = 0.05;
// How far outside the plateau the power before and after it is looked for: the smoothed rate turns over about that far.
constexpr double looking_share = 0.5;
constexpr double shortest_looking_s = 10.0;
} // namespace

std::vector<double> evaporatedShare(const PotCourse& course, const BoilPlateau& plateau, double boiling_c) {
    std::vector<double> share(course.size(), 0.0);
    double total = 0.0;
    for (const bool evenly : {false, true}) {
        total = 0.0;
        for (std::size_t i = 1; i < course.size(); ++i) {
            const double from_s = std::clamp(course.time_s[i - 1], plateau.start_s, plateau.end_s);
            const double to_s = std::clamp(course.time_s[i], plateau.start_s, plateau.end_s);
            const double above_k =
                std::max(0.0, 0.5 * (course.temperature_c[i - 1] + course.temperature_c[i]) - boiling_c);
            total += (to_s - from_s) * (evenly ? 1.0 : above_k);
            share[i] = total;
        }
        if (total > 0.0) {
            break;
        }
    }
    for (double& part : share) {
        part = total > 0.0 ? part / total : 0.0;
    }
    return share;
}

EvaporationEstimate estimateEvaporation(const Pot& pot, const PotCourse& course, const landmarks::Course& rates,
                                        const Loss& loss, const BoilPlateau& plateau) {
    Pot dry = pot;
    dry.evaporated_g = 0.0;
    const double looking_s = std::max(shortest_looking_s, looking_share * (plateau.end_s - plateau.start_s));
    double before_w = 0.0;
    double after_w = 0.0;
    for (std::size_t i = 0; i < rates.rate_time_s.size(); ++i) {
        const double at_s = rates.rate_time_s[i];
        const bool before = at_s >= plateau.start_s - looking_s && at_s <= plateau.start_s + 0.5 * shortest_looking_s;
        const bool after = at_s >= plateau.end_s && at_s <= plateau.end_s + looking_s;
        if (!before && !after) {
            continue;
        }
        const double heater_w = (signal::linear(course.time_s, course.heater_j, at_s + 0.5) -
                                 signal::linear(course.time_s, course.heater_j, at_s - 0.5));
        const double power = curePower(
            dry, loss,
            {.time_s = at_s,
             .temperature_c = rates.temperatureAt(at_s),
             .rate_k_per_s = rates.rate_k_per_s[i],
             .surroundings_c = signal::linear(course.time_s, course.surroundings_c, at_s),
             .heater_w = heater_w,
             .heat_capacity_j_per_k = dry.heat_capacity_j_per_k +
                                      dry.dose_specific_heat_j_per_g_k * (dry.dose ? dry.dose->dosedAt(at_s) : 0.0)});
        if (before) {
            before_w = std::max(before_w, power);
        }
        if (after) {
            after_w = std::max(after_w, power); // it falls from there on
        }
    }
    const double duration_s = plateau.end_s - plateau.start_s;
    after_w = std::clamp(after_w, 0.02 * before_w, before_w);
    const double ratio = before_w / std::max(after_w, 1e-300);
    const double mean_w = ratio > 1.0 + 1e-9 ? (before_w - after_w) / std::log(ratio) : before_w;
    const std::vector<double> released = releasedHeat(dry, course, loss);
    const double seen_j = signal::linear(course.time_s, released, plateau.end_s) -
                          signal::linear(course.time_s, released, plateau.start_s);
    const double steam_j = std::max(0.0, mean_w * duration_s - seen_j);
    const double evaporated_g = pot.latent_heat_j_per_g > 0.0 ? steam_j / pot.latent_heat_j_per_g : 0.0;
    return {.evaporated_g = evaporated_g, .u_g = std::hypot(relative_u * evaporated_g, smallest_u_g)};
}

} // namespace potwatch::heat
