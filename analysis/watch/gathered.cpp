// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/gathered.h"

#include <algorithm>
#include <cmath>

namespace potwatch::watch {

namespace {

constexpr double gas_j_per_mol_k = 8.314462618;
constexpr double usual_energy_j_per_mol = 55000.0;
constexpr double highest_energy_j_per_mol = 75000.0;
constexpr double zero_c = 273.15;
constexpr double longest_s = 2.0 * 3600.0;
constexpr double finest_step_s = 0.5;
constexpr double coarsest_step_s = 20.0;
constexpr double step_k = 0.5;

double growthPerK(double energy_j_per_mol, double from_c, double to_c) {
    return energy_j_per_mol / gas_j_per_mol_k / ((from_c + zero_c) * (to_c + zero_c));
}

} // namespace

double fastestGrowthPerK(double from_c, double to_c) {
    return growthPerK(highest_energy_j_per_mol, from_c, to_c);
}

bool couldReach(const Gathered& gathered, double limit_c) {
    double now_c = gathered.temperature_c;
    double left_k = gathered.rise_left_k;
    if (!(left_k > 0.0)) {
        return now_c >= limit_c;
    }
    for (double time_s = 0.0; time_s < longest_s;) {
        if (now_c >= limit_c) {
            return true;
        }
        const double quicker = std::exp(growthPerK(usual_energy_j_per_mol, gathered.temperature_c, now_c) *
                                        (now_c - gathered.temperature_c));
        const double heating = gathered.heating_k_per_s * quicker * left_k / gathered.rise_left_k;
        const double slope = heating - gathered.loss_per_s * (now_c - gathered.surroundings_c);
        const double step_s = std::clamp(step_k / std::max(std::abs(slope), heating), finest_step_s, coarsest_step_s);
        now_c += step_s * slope;
        left_k = std::max(0.0, left_k - step_s * heating);
        time_s += step_s;
    }
    return false;
}

} // namespace potwatch::watch
