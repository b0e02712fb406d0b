// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace potwatch::watch {

// What has gathered in a pot and has still to react, with how fast it heats the pot now.
struct Gathered {
    double temperature_c = 0.0;
    double surroundings_c = 0.0;
    double heating_k_per_s = 0.0; // by the reaction alone, at the most
    double loss_per_s = 0.0;      // of the difference to the surroundings
    double rise_left_k = 0.0;     // that it would make if nothing were lost
};

// Whether it could take the pot to the limit against that loss: the reaction quickens with the temperature as by an
// activation energy of 55 kJ/mol and slows with what is used up.
// Assumes: finite. Source: N. N. Semenov, Z. Phys. 48 (1928) 571 (the balance of heating and loss; from memory); the
// energy: common practice, no source.
[[nodiscard]] bool couldReach(const Gathered& gathered, double limit_c);

// Mean growth of a rate between two temperatures [1/K], for a bound: an activation energy of 75 kJ/mol, in which a
// cure's own quickening is counted (common practice, no source).
[[nodiscard]] double fastestGrowthPerK(double from_c, double to_c);

} // namespace potwatch::watch
