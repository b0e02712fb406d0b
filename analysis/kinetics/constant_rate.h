// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/cure_course.h"
#include "analysis/values/fault.h"
#include "analysis/values/model_free.h"

#include <span>

namespace potwatch::kinetics {

// One run of constant heating rate: the temperature at which it cures fastest, or passes a degree of cure.
struct RatePoint {
    double heating_k_per_min = 0.0;
    double temperature_c = 0.0;
};

// Energies from the temperatures of the fastest cure. Intervals by Student's t from how the points scatter.
// Errors: missing (fewer than three different heating rates, temperatures that do not rise with them), range (a rate
// that is not above zero).
// Kissinger: ln(beta / Tp^2) against 1/Tp. Source: H. E. Kissinger, Anal. Chem. 29 (1957) 1702.
// Ozawa: log10(beta) against 1/Tp, slope / 0.4567 (Doyle). Source: T. Ozawa, Bull. Chem. Soc. Jpn 38 (1965) 1881.
// ASTM E698: the same line with 2.19 first, then ln(10) / D, D = 1 + 2/x at x = E / (R mean Tp), until it stays.
// Source: ASTM E698; D for the first-order peak condition.
[[nodiscard]] Result<EnergyFromPeaks> kissinger(std::span<const RatePoint> peaks);
[[nodiscard]] Result<EnergyFromPeaks> ozawa(std::span<const RatePoint> peaks);
[[nodiscard]] Result<EnergyFromPeaks> astmE698(std::span<const RatePoint> peaks);

// Energies from the temperatures at one degree of cure; errors as above.
// kas: ln(beta / T^2). Source: T. Akahira, T. Sunose, Res. Rep. Chiba Inst. Technol. 16 (1971) 22 (from memory).
// starink: ln(beta / T^1.92), slope / 1.0008. Source: M. J. Starink, Thermochim. Acta 404 (2003) 163.
// flynnWallOzawa: ln(beta), slope / 1.052 (Doyle); refined: log10(beta), slope / b(x), b the slope of the temperature
// integral at x = E / (R mean T), until it stays. Source: J. H. Flynn, L. A. Wall, J. Polym. Sci. B 4 (1966) 323.
[[nodiscard]] Result<EnergyAtDegree> kas(std::span<const RatePoint> points, double degree);
[[nodiscard]] Result<EnergyAtDegree> starink(std::span<const RatePoint> points, double degree);
[[nodiscard]] Result<EnergyAtDegree> flynnWallOzawa(std::span<const RatePoint> points, double degree);
[[nodiscard]] Result<EnergyAtDegree> flynnWallOzawaRefined(std::span<const RatePoint> points, double degree);

// Heating rate of a run [K/min] while its degree goes from 0.02 to 0.98.
// Errors: missing: the temperature leaves a straight line by more than 0.5 K and more than a hundredth of its way, as a
// pot that heats itself does; the catalyst is dosed meanwhile; too few rows.
[[nodiscard]] Result<double> constantHeatingRate(const CureCourse& course);

// All of it for several runs: peaks by Kissinger, Ozawa and ASTM E698, degrees by KAS and (refined) Flynn-Wall-Ozawa.
// Errors: those of constantHeatingRate for the first run that has one; missing (fewer than three different heating
// rates, runs that differ in their catalyst).
[[nodiscard]] Result<ConstantRateFindings> constantRateEnergies(std::span<const CureCourse> courses,
                                                                std::span<const double> degrees = nine_degrees);

} // namespace potwatch::kinetics
