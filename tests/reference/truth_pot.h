// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/pot_model.h"

namespace potwatch::reference {

// The pot behind s01-s07 and tests/reference/data/pot-truth.csv, dosed at that rate.
// Source: ../shared/truth/truth.json, its parameters.
inline forecast::PotModel truthPot(double dose_rate_g_per_min) {
    return {.resin_g = 80.0,
            .specific_heat_j_per_g_k = 2.0,
            .vessel_j_per_k = 25.0,
            .loss_coefficient_w_per_k = 0.8,
            .surroundings_c = 22.0,
            .start_c = 22.0,
            .law = {.a1_per_s = 1.4e7,
                    .e1_j_per_mol = 60000.0,
                    .a2_per_s = 9.0e5,
                    .e2_j_per_mol = 48000.0,
                    .m = 0.55,
                    .n = 1.4,
                    .catalyst_order = 1.0,
                    .catalyst_reference_g_per_g = 0.05},
            .heat_of_reaction_j_per_g = 270.0,
            .doses = {{.start_s = 120.0, .over_s = 4.0 / dose_rate_g_per_min * 60.0, .amount_g = 4.0}},
            .dose_specific_heat_j_per_g_k = 3.0,
            .dose_c = 22.0,
            .boiling_c = 100.5,
            .boil_g_per_s_k = 0.05,
            .water_g = 18.0,
            .latent_heat_j_per_g = 2257.0};
}

} // namespace potwatch::reference
