// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/cure_law.h"
#include "analysis/values/fault.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::forecast {

// An amount given to the pot, evenly from start_s for over_s; all at once where over_s is 0.
struct DosePortion {
    double start_s = 0.0;
    double over_s = 0.0;
    double amount_g = 0.0;

    bool operator==(const DosePortion&) const = default;
};

// A stirred pot of reacting resin (or of water: no heat of reaction). One temperature for pot and contents.
struct PotModel {
    double resin_g = 0.0;
    double specific_heat_j_per_g_k = 0.0;
    double vessel_j_per_k = 0.0;
    double loss_coefficient_w_per_k = 0.0;
    double loss_exponent = 0.0; // loss = UA (T - Te) (|T - Te| / 20 K)^x
    double surroundings_c = 0.0;
    double heater_w = 0.0;
    double start_c = 0.0;

    CureLaw law;
    double heat_of_reaction_j_per_g = 0.0; // J per g of resin
    double start_degree = 0.0;

    std::vector<DosePortion> doses; // of catalyst; they may overlap
    double dose_specific_heat_j_per_g_k = 0.0;
    double dose_c = 0.0;

    double boiling_c = 0.0;
    double boil_g_per_s_k = 0.0; // water leaves at this rate per kelvin above boiling_c; 0 = it never boils
    double water_g = 0.0;        // no more than this can boil off
    double water_specific_heat_j_per_g_k = 4.18;
    std::optional<double> latent_heat_j_per_g; // otherwise that of water at the pot's temperature

    bool operator==(const PotModel&) const = default;
};

struct PotState {
    double temperature_c = 0.0;
    double degree = 0.0;
    double dosed_g = 0.0;
    double evaporated_g = 0.0;
    double heat_j = 0.0;        // released by the cure since the start
    double lost_j = 0.0;        // to the surroundings
    double evaporation_j = 0.0; // taken away by the vapour, as latent heat
    double heat_capacity_j_per_k = 0.0;

    bool operator==(const PotState&) const = default;
};

// The states of a pot at given times, from its start at 0 s.
// C dT/dt = Q_cure + P_heater - UA (T - Te) (|T - Te| / 20 K)^x + m'_dose c_dose (T_dose - T) - m'_evap L(T),
// C = m_resin c + C_vessel + m_dosed c_dose - m_evap c_water, m'_evap = k_b (T - T_b) above T_b while there is water.
// Shape: times_s ascending, >= 0; one state a time.
// Errors: range (a mass, heat capacity, coefficient or time that cannot be), notConverged (the integrator gave up).
// Source: design of the heat balance, analysis/heat; integration by Dormand and Prince's method of order 5 with dense
// output, from one jump of the dosing rate to the next.
[[nodiscard]] Result<std::vector<PotState>> simulatePot(const PotModel& model, std::span<const double> times_s);

} // namespace potwatch::forecast
