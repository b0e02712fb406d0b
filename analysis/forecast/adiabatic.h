// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/cure_law.h"
#include "analysis/values/adiabatic.h"
#include "analysis/values/batch.h"
#include "analysis/values/fault.h"

#include <span>
#include <vector>

namespace potwatch::forecast {

// What would happen if all heat stayed in the pot and nothing boiled: worst-case figures, not a forecast of the pot.

struct AdiabaticPot {
    CureLaw law;
    double resin_g = 0.0;
    double heat_of_reaction_j_per_g = 0.0; // J per g of resin
    double heat_capacity_j_per_k = 0.0;    // of pot and contents at the moment in question

    bool operator==(const AdiabaticPot&) const = default;
};

// Rise that the heat still to come would cause [K]: (1 - degree) m_r H / C.
[[nodiscard]] double adiabaticRiseK(const AdiabaticPot& pot, double degree);

struct Sample {
    double mass_g = 0.0;
    double specific_heat_j_per_g_k = 0.0;
};

// Thermal inertia phi [1]: heat capacity of sample and vessel over that of the sample alone.
// Source: D. I. Townsend, J. C. Tou, Thermochim. Acta 37 (1980) 1.
[[nodiscard]] double thermalInertia(double heat_capacity_j_per_k, const Sample& sample);

// Shape: of one length, time_s strictly ascending.
struct AdiabaticTrace {
    std::vector<double> time_s;
    std::vector<double> temperature_c;

    bool operator==(const AdiabaticTrace&) const = default;
};

// What an adiabatic trace of thermal inertia phi would have been at phi = 1, without a vessel: at equal degrees of cure
// the rise is phi times as high, and the cure faster by exp(E/R (1/T - 1/T_corrected)). Exact for one activation energy
// and a trace that is fine enough (trapezoidal in the logarithm of the factor); times start at that of the first row.
// Errors: input (fewer than two rows, lengths differ, times not ascending), range (phi under 1, E not above 0).
// Source: the definition of phi with the Arrhenius law; zero order would only divide the time by phi.
[[nodiscard]] Result<AdiabaticTrace> correctedForInertia(const AdiabaticTrace& trace, double phi, double e_kj_per_mol);

// A moment while the pot is dosed.
struct DosedMoment {
    DoseRole role = DoseRole::catalyst;
    double temperature_c = 0.0;
    double degree = 0.0;
    double catalyst_g_per_g = 0.0;
    double dosed_share = 0.0; // of the reactant that the whole cure needs; only for role = reactant
};

// Highest temperature that the synthesis could reach if dosing and cooling failed now [°C], MTSR. A catalyst lets all
// of the fuel react as soon as there is any: T + (1 - degree) m_r H / C, and T itself before; of a reactant only what
// has been dosed and has not yet reacted counts: T + (share - degree) m_r H / C.
// Source: F. Stoessel, Thermal Safety of Chemical Processes (2008), for the reactant (from memory); for a catalyst the
// accumulated fuel is the whole rest.
[[nodiscard]] double mtsrC(const AdiabaticPot& pot, const DosedMoment& moment);

// Time to the maximum self-heat rate from a state, TMRad, by quadrature of d(degree) / rate along the adiabat; the
// catalyst stays as it is. The zero-order figure R T^2 C / (E q) is formed with the highest heat flow q that any degree
// from now on would give at the present temperature, and with the larger activation energy of the two paths: for an
// nth-order law that is the usual figure, for an autocatalytic one the start of the cure would promise far too much
// time. It leaves out that the fuel is used up: where little of it is left the maximum comes sooner, and the figure,
// then on the long side, is withheld. Errors: missing (nothing cures in this state), range (a mass, heat or heat
// capacity that cannot be). Source: D. I. Townsend, J. C. Tou, Thermochim. Acta 37 (1980) 1 (zero order).
[[nodiscard]] Result<TimeToMaximumRate> timeToMaximumRate(const AdiabaticPot& pot, const CurePlace& place);

// Temperature [°C] from which the maximum rate is time_s away, T_D24 for 24 h; place.temperature_c does not count.
// Errors: as timeToMaximumRate; missing (no such temperature between -100 and 400 °C).
[[nodiscard]] Result<double> temperatureForTimeToMaximumC(const AdiabaticPot& pot, const CurePlace& place,
                                                          double time_s);

} // namespace potwatch::forecast
