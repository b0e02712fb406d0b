// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <cstddef>
#include <string>
#include <string_view>

namespace potwatch::format {

// Numbers to text, in one place for the window, the report and the command line. Always a point, whatever the locale;
// UTF-8; a negative number has a true minus sign (U+2212), as print has it. Files and JSON are not written with these.

// What a figure measures; decides its unit, its scale (J or kJ) and the digits of a figure without uncertainty.
enum class Quantity {
    temperature,            // given in °C
    temperature_difference, // K
    rate,                   // K/min
    power,                  // W
    heat,                   // J, shown in kJ from 1000 J on
    heat_per_gram,          // J/g
    heat_capacity,          // J/K
    loss_coefficient,       // W/K
    loss_exponent,          // a plain number
    mass,                   // g
    time,                   // s
    degree,                 // degree of cure, a plain number
    plain                   // any other plain number
};

// The unit as it stands behind a figure of that size (given in the base unit above), "" for a plain number.
[[nodiscard]] std::string_view unitOf(Quantity quantity, double value = 0.0);

// "101.8" for 101.83 with 0.3 to either side: no more digits than the uncertainty allows. The half width counts with
// one digit, with two where the first is a 1. Without a half width (0, or not finite) six significant digits. Source:
// JCGM 100:2008, 7.2.6 (one or two digits of the uncertainty, the result rounded to the same place).
[[nodiscard]] std::string figureText(double value, double half_width);

// The half width itself, rounded as figureText() rounds: "0.3", "0.14", "400".
[[nodiscard]] std::string halfWidthText(double half_width);

// "101.8 ± 0.3 °C", ± being half the 95 % interval; "0.98 (0.93 to 1.00)" where the interval leans to one side by more
// than a quarter of its width, so that ± would mislead; the bare value where nothing is known of its uncertainty.
[[nodiscard]] std::string estimateText(const Estimate& estimate, Quantity quantity);

// The 95 % interval: "101.5 to 102.1 °C". Empty where the interval has no width.
[[nodiscard]] std::string intervalText(const Estimate& estimate, Quantity quantity);

// The standard uncertainty: "0.15 °C" has unit K ("0.15 K"), "0.21 kJ". Two significant digits. Empty where it is zero.
[[nodiscard]] std::string uncertaintyText(const Estimate& estimate, Quantity quantity);

// A figure without stated uncertainty, with the digits that are usual for its kind: "100.5 °C", "533 s", "270 J/g".
[[nodiscard]] std::string valueText(double value, Quantity quantity);

// A bare number with at most that many significant digits and no trailing zeros: "0.03", "270", "1.4e+07".
[[nodiscard]] std::string numberText(double value, int significant_digits = 6);

// A rise or fall: "+61 K", "−12.4 K". One decimal under 20 K.
[[nodiscard]] std::string riseText(double difference_k);

// "42 s", "4 min 10 s", "2 h 5 min"; under ten seconds with one decimal. Zero parts are left out: "2 h".
[[nodiscard]] std::string durationText(double seconds);

// "14 401", the groups of three parted by no-break spaces from five digits on.
[[nodiscard]] std::string countText(std::size_t count);

// "1 sample", "14 401 samples".
[[nodiscard]] std::string countText(std::size_t count, std::string_view singular, std::string_view plural);

} // namespace potwatch::format
