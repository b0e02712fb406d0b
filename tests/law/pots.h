// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/pot_model.h"

#include <vector>

// Pots that the laws are tried on; invented numbers.
namespace potwatch::law {

// Dosed at 0.4 g/min from 60 s; with `boils` fast enough for a few grams of water to leave.
inline forecast::PotModel dosedPot(bool boils) {
    forecast::PotModel model;
    model.resin_g = 60.0;
    model.specific_heat_j_per_g_k = 2.1;
    model.vessel_j_per_k = 30.0;
    model.loss_coefficient_w_per_k = 0.7;
    model.loss_exponent = 0.2;
    model.surroundings_c = 19.0;
    model.start_c = 24.0;
    model.law = {.a1_per_s = 2.0e7,
                 .e1_j_per_mol = 61000.0,
                 .a2_per_s = 8.0e5,
                 .e2_j_per_mol = 47000.0,
                 .m = 0.6,
                 .n = 1.5,
                 .catalyst_order = 1.0,
                 .catalyst_reference_g_per_g = 0.05};
    model.heat_of_reaction_j_per_g = boils ? 320.0 : 260.0;
    model.doses = {{.start_s = 60.0, .over_s = boils ? 60.0 : 900.0, .amount_g = 4.0},
                   {.start_s = 300.0, .over_s = 0.0, .amount_g = 0.5}};
    model.dose_specific_heat_j_per_g_k = 3.1;
    model.dose_c = 18.0;
    model.boiling_c = 100.0;
    model.boil_g_per_s_k = 0.04;
    model.water_g = 12.0;
    return model;
}

inline std::vector<double> everySecondTenth(double end_s) {
    std::vector<double> times_s;
    for (int i = 0; i * 0.2 <= end_s; ++i) {
        times_s.push_back(i * 0.2);
    }
    return times_s;
}

} // namespace potwatch::law
