// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/fault.h"

namespace potwatch::thermocouple {

// temperature = scale * reading + offset_k, and how surely.
struct Correction {
    double scale = 1.0;
    double offset_k = 0.0;
    double u_k = 0.0; // largest standard uncertainty of a corrected temperature between 0 °C and boiling water

    [[nodiscard]] double at(double reading_c) const { return scale * reading_c + offset_k; }
    bool operator==(const Correction&) const = default;
};

// Standard uncertainties where a calibration states none.
inline constexpr double unstated_ice_u_k = 0.1;
inline constexpr double unstated_boiling_u_k = 0.2;

// Of a thermocouple that nobody calibrated: the tolerance of class 2 for types K, J, N and E up to 333 °C, and as a
// standard uncertainty (rectangular). Source: IEC 60584-1:2013, table 12 (from memory).
inline constexpr double class_2_tolerance_k = 2.5;
inline constexpr double uncalibrated_u_k = class_2_tolerance_k / 1.7320508075688772;

// The straight line through both points: ice melts at 0 °C (at the air's pressure to within 0.01 K), water boils at
// chemistry::saturationTemperatureC. From one point a constant correction; away from that point the probe is then taken
// to follow its reference function as a type K thermocouple of class 2 does: within 0.75 % of the difference,
// rectangular. Without any point nothing is corrected, and u_k is 0.
// Errors: missing (a reading in boiling water without the air's pressure), range (a pressure that no air on land has,
// 40 to 110 kPa; a reading more than 10 K from its point: then the probe is broken, or ice and boiling water are mixed
// up). Source: the tolerance of class 2, IEC 60584-1:2013, table 12 (from memory).
[[nodiscard]] Result<Correction> correctionOf(const ProbeCalibration& calibration);

// Boiling point of water at the pressure of the air [°C].
// Errors: range (no air on land has it).
[[nodiscard]] Result<double> boilingPointC(double air_kpa);

} // namespace potwatch::thermocouple
