// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

namespace potwatch::chemistry {

// Range of the saturation line: 0 °C to the critical point.
inline constexpr double lowest_saturation_c = 0.0;
inline constexpr double highest_saturation_c = 373.946;
inline constexpr double lowest_saturation_kpa = 0.611213;
inline constexpr double highest_saturation_kpa = 22064.0;

// Saturation pressure of pure water [kPa], absolute.
// Errors: range (outside lowest ... highest_saturation_c, or not a number).
// Source: IAPWS R7-97(2012), Industrial Formulation 1997, region 4, equation 30.
[[nodiscard]] Result<double> saturationPressureKpa(double temperature_c);

// Boiling temperature of pure water [°C] at an absolute pressure.
// Errors: range (outside lowest ... highest_saturation_kpa, or not a number).
// Source: IAPWS R7-97(2012), region 4, equation 31.
[[nodiscard]] Result<double> saturationTemperatureC(double pressure_kpa);

// Heat of evaporation of pure water on the saturation line [J/g], 0 to 200 °C; held at the nearer end outside.
// Source: a polynomial through the Industrial Formulation's values every 10 °C, which it meets to 0.03 J/g (0.0012 %).
[[nodiscard]] double latentHeatJPerG(double temperature_c);

// Specific heat of liquid water at constant pressure on the saturation line [J/(g K)], 0 to 200 °C; held at the nearer
// end outside. Source: a polynomial through the Industrial Formulation's values every 10 °C, which it meets to 0.0015
// J/(g K) (0.04 %).
[[nodiscard]] double liquidSpecificHeatJPerGK(double temperature_c);

} // namespace potwatch::chemistry
