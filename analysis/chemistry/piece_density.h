// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

namespace potwatch::chemistry {

// Density of air-free liquid water at 101.325 kPa [g/mL], 0 to 40 °C.
// Errors: range (outside 0 to 40 °C, or not a number).
// Source: M. Tanaka, G. Girard, R. Davis, A. Peuto, N. Bignell, Metrologia 38 (2001) 301, equation 1 (CIPM formula).
[[nodiscard]] Result<double> waterDensityGPerMl(double temperature_c);

struct Weighings {
    double dry_g = 0.0;      // in air
    double in_water_g = 0.0; // hanging in water
    double water_c = 20.0;
};

// Density of a piece weighed in air and hanging in water [g/mL]: dry / (dry - in water) of (water - air) + air.
// Errors: range (in water not below dry, a weight not above 0, water outside 0 to 40 °C).
// Source: Archimedes' principle with the buoyancy of air, as in ISO 1183-1, method A; air 0.0012 g/mL.
[[nodiscard]] Result<double> pieceDensityGPerMl(const Weighings& weighings);

} // namespace potwatch::chemistry
