// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/estimate.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

// Repeats of one cure whose batch file is off, for tests of coverage.
namespace potwatch::reference {

// How far the figures of a batch file are off those of truthPot.
struct Off {
    double specific_heat = 1.0; // factors
    double heat_of_reaction = 1.0;
    double vessel_j_per_k = 0.0; // added
    double surroundings_k = 0.0;
    double lag_s = 0.0;
};

// What a batch file says of truthPot, each figure off as given.
inline Batch batchOf(double rate_g_per_min, const Off& off) {
    Batch batch;
    batch.file = "simulated";
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0 * off.specific_heat, .boiling_c = 100.5};
    batch.vessel = {.name = "beaker", .heat_capacity_j_per_k = 25.0 + off.vessel_j_per_k};
    batch.surroundings.temperature_c = 22.0 + off.surroundings_k;
    batch.dose = Dose{.role = DoseRole::catalyst,
                      .total_g = 4.0,
                      .rate_g_per_min = rate_g_per_min,
                      .start_s = 120.0,
                      .specific_heat_j_per_g_k = 3.0,
                      .temperature_c = 22.0};
    batch.cure.heat_of_reaction_j_per_g = 270.0 * off.heat_of_reaction;
    batch.sensor_lag_s = 4.0 + off.lag_s;
    batch.uncertainty = {.specific_heat_rel = 0.03,
                         .vessel_j_per_k = 2.0,
                         .surroundings_k = 0.5,
                         .lag_s = 0.7,
                         .heat_of_reaction_rel = 0.05};
    return batch;
}

// Rectangular with this standard deviation, as a stated uncertainty is understood (JCGM 100:2008, 4.3.7).
inline double drawn(std::mt19937_64& random, double u) {
    const double unit = static_cast<double>(random() >> 11U) * 0x1.0p-53;
    return std::sqrt(3.0) * u * (2.0 * unit - 1.0);
}

// How the intervals of many repeats stand to the truth.
struct Held {
    double share = 0.0;      // of the intervals that hold it
    double half_width = 0.0; // mean
    double spread = 0.0;     // half width that holds 95 % of the values about their mean, were they normal
    double mean = 0.0;
    double furthest_off = 0.0;
};

inline Held heldBy(const std::vector<Estimate>& found, double truth) {
    const auto n = static_cast<double>(found.size());
    Held held;
    for (const Estimate& one : found) {
        held.share += one.low <= truth && truth <= one.high ? 1.0 / n : 0.0;
        held.half_width += 0.5 * (one.high - one.low) / n;
        held.mean += one.value / n;
        held.furthest_off = std::max(held.furthest_off, std::abs(one.value - truth));
    }
    double variance = 0.0;
    for (const Estimate& one : found) {
        variance += (one.value - held.mean) * (one.value - held.mean) / (n - 1.0);
    }
    held.spread = coverage_factor_95 * std::sqrt(variance);
    return held;
}

} // namespace potwatch::reference
