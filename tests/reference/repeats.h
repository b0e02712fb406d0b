// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/pot_model.h"
#include "analysis/values/batch.h"
#include "analysis/values/estimate.h"
#include "tests/reference/truth_pot.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

// Repeats of one cure whose batch file is off, for tests of coverage.
namespace potwatch::reference {

// How far the figures of a batch file are off those of the pot.
struct Off {
    double specific_heat = 1.0; // factors
    double heat_of_reaction = 1.0;
    double vessel_j_per_k = 0.0; // added
    double surroundings_k = 0.0;
    double lag_s = 0.0;
};

// What a batch file says of a pot with one dose, each figure off as given.
inline Batch batchOf(const forecast::PotModel& pot, double lag_s, const Off& off) {
    const forecast::DosePortion& dose = pot.doses.front();
    Batch batch;
    batch.file = "simulated";
    batch.charge = {.resin_g = pot.resin_g,
                    .specific_heat_j_per_g_k = pot.specific_heat_j_per_g_k * off.specific_heat,
                    .boiling_c = pot.boiling_c};
    batch.vessel = {.name = "beaker", .heat_capacity_j_per_k = pot.vessel_j_per_k + off.vessel_j_per_k};
    batch.surroundings.temperature_c = pot.surroundings_c + off.surroundings_k;
    batch.dose = Dose{.role = DoseRole::catalyst,
                      .total_g = dose.amount_g,
                      .rate_g_per_min = 60.0 * dose.amount_g / dose.over_s,
                      .start_s = dose.start_s,
                      .specific_heat_j_per_g_k = pot.dose_specific_heat_j_per_g_k,
                      .temperature_c = pot.dose_c};
    batch.cure.heat_of_reaction_j_per_g = pot.heat_of_reaction_j_per_g * off.heat_of_reaction;
    batch.sensor_lag_s = lag_s + off.lag_s;
    batch.uncertainty = {.specific_heat_rel = 0.03,
                         .vessel_j_per_k = 2.0,
                         .surroundings_k = 0.5,
                         .lag_s = 0.7,
                         .heat_of_reaction_rel = 0.05,
                         .thermocouple_k = 0.0};
    return batch;
}

inline Batch batchOf(double rate_g_per_min, const Off& off) {
    return batchOf(truthPot(rate_g_per_min), 4.0, off);
}

// Rectangular with this standard deviation, as a stated uncertainty is understood (JCGM 100:2008, 4.3.7).
inline double drawn(std::mt19937_64& random, double u) {
    const double unit = static_cast<double>(random() >> 11U) * 0x1.0p-53;
    return std::sqrt(3.0) * u * (2.0 * unit - 1.0);
}

// How the intervals of many repeats stand to the truth; each estimate is given less its truth.
struct Held {
    double share = 0.0;      // of the intervals that hold it
    double half_width = 0.0; // mean
    double spread = 0.0;     // half width that holds 95 % of the values about their mean, were they normal
    double mean_off = 0.0;
    double furthest_off = 0.0;
};

inline Held heldBy(const std::vector<Estimate>& off) {
    const auto n = static_cast<double>(off.size());
    Held held;
    for (const Estimate& one : off) {
        held.share += one.low <= 0.0 && 0.0 <= one.high ? 1.0 / n : 0.0;
        held.half_width += 0.5 * (one.high - one.low) / n;
        held.mean_off += one.value / n;
        held.furthest_off = std::max(held.furthest_off, std::abs(one.value));
    }
    double variance = 0.0;
    for (const Estimate& one : off) {
        variance += (one.value - held.mean_off) * (one.value - held.mean_off) / (n - 1.0);
    }
    held.spread = coverage_factor_95 * std::sqrt(variance);
    return held;
}

inline Estimate less(Estimate estimate, double truth) {
    estimate.value -= truth;
    estimate.low -= truth;
    estimate.high -= truth;
    return estimate;
}

} // namespace potwatch::reference
