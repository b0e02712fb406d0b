// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/dose.h"

#include <optional>
#include <vector>

namespace potwatch::heat {

// The contents move into a mould: the vessel and the heat in it stay behind, the mould warms from its own temperature.
struct Pour {
    double at_s = 0.0;
    double vessel_j_per_k = 0.0; // left behind
    double mould_j_per_k = 0.0;
    double mould_c = 20.0; // before
};

// What stores heat in the pot. Where the masses are not known the heat capacity is 1: all heats are then relative, in
// kelvin of the pot's own warming.
struct Pot {
    double heat_capacity_j_per_k = 1.0; // charge and vessel, before dosing
    std::optional<DoseCourse> dose;
    double dose_specific_heat_j_per_g_k = 0.0;
    double dose_temperature_c = 20.0;
    double evaporated_g = 0.0; // over the whole run
    double latent_heat_j_per_g = 0.0;
    double water_specific_heat_j_per_g_k = 0.0;
    std::optional<Pour> pour;
};

// How the pot loses heat to its surroundings: coefficient (T - Te) (|T - Te| / 20 K)^exponent, Te shifted from its
// course by shift_k.
struct Loss {
    double coefficient_w_per_k = 0.0;
    double exponent = 0.0;
    double shift_k = 0.0;
};

// The temperatures of a pot at nodes of time, and what was put in by then.
// Shape: all of one length, time_s strictly ascending.
struct PotCourse {
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    std::vector<double> slope_k_per_s;
    std::vector<double> surroundings_c;
    std::vector<double> surroundings_slope_k_per_s;
    std::vector<double> heater_j;         // put in by the heater up to then
    std::vector<double> evaporated_share; // of Pot::evaporated_g, 0 to 1
    std::vector<double> loss_factor;      // of the loss coefficient, in the step that ends at a node; empty: 1

    [[nodiscard]] std::size_t size() const { return time_s.size(); }
};

// Temperature difference to which the loss coefficient belongs [K].
inline constexpr double reference_difference_k = 20.0;

// Heat capacity of pot and contents at node i [J/K]: charge, vessel (or mould) and what was dosed, less what
// evaporated.
[[nodiscard]] double heatCapacityAt(const Pot& pot, const PotCourse& course, std::size_t i);

// With all that is dosed and before any water boils away [J/K]: what the heat of a whole cure would warm. Assumes: the
// course is not empty.
[[nodiscard]] double wholeHeatCapacity(const Pot& pot, const PotCourse& course);

// Heat stored since the first node, less what the dose brought in and with what the steam carried off [J].
// Source: integral of C dT/dt - m_dose' c_dose (T_dose - T) + m_evap' L with C growing by the dose and falling by the
// steam (first law for an open pot at constant pressure).
[[nodiscard]] std::vector<double> storedHeat(const Pot& pot, const PotCourse& course);

// Integral of (T - Te) (|T - Te| / 20 K)^exponent dt since the first node [K s], each step times its loss factor.
// Cost: O(n). Third-order exact between nodes (Hermite).
[[nodiscard]] std::vector<double> lossIntegral(const PotCourse& course, double exponent, double shift_k);

// Heat released by the cure since the first node [J]: stored + lost - heater.
[[nodiscard]] std::vector<double> releasedHeat(const Pot& pot, const PotCourse& course, const Loss& loss);

// Heat flow of the cure [W] where temperature and rate are given apart (a rate smoothed for itself).
struct Instant {
    double time_s = 0.0;
    double temperature_c = 0.0;
    double rate_k_per_s = 0.0;
    double surroundings_c = 0.0;
    double heater_w = 0.0;
    double heat_capacity_j_per_k = 0.0;
    double evaporation_g_per_s = 0.0;
};
[[nodiscard]] double curePower(const Pot& pot, const Loss& loss, const Instant& instant);

} // namespace potwatch::heat
