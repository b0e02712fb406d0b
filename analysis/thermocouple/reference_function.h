// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <optional>
#include <string_view>

namespace potwatch::thermocouple {

// The letter-designated thermocouples of IEC 60584-1.
enum class Type { B, E, J, K, N, R, S, T };

// The type of a letter, either case; none for anything else.
[[nodiscard]] std::optional<Type> typeOf(std::string_view letter);
[[nodiscard]] std::string_view nameOf(Type type);

// Where the reference function of a type is defined.
struct Range {
    double low_c = 0.0;
    double high_c = 0.0;
    double low_mv = 0.0; // the lowest electromotive force in the range: that of low_c, but for type B
    double high_mv = 0.0;
};
[[nodiscard]] Range rangeOf(Type type);

// Electromotive force with the reference junction at 0 °C [mV].
// Errors: range (outside the type's temperatures, or not a number; names the range).
// Source: NIST Monograph 175 (1993), ITS-90; IEC 60584-1.
[[nodiscard]] Result<double> electromotiveForceMv(Type type, double temperature_c);

// Its derivative [mV/K].
// Errors: as electromotiveForceMv.
[[nodiscard]] Result<double> seebeckMvPerK(Type type, double temperature_c);

// What a voltage says of the hot junction. Type B rises and falls again below 42 °C: there two temperatures give one
// voltage.
struct HotJunction {
    double temperature_c = 0.0;    // the higher one where there are two
    std::optional<double> other_c; // the lower one, at or above 0 °C
    // Below 0.0023 mV (50 °C) type B cannot tell a warm junction from a cold one: the second temperature is other_c, or
    // lies below 0 °C, where no reference function is defined.
    bool ambiguous = false;
};
inline constexpr double type_b_ambiguous_below_mv = 0.0023;

// Temperature of the hot junction at an electromotive force against 0 °C: the forward function solved to 1e-9 K, so
// that there and back is exact (the published inverse polynomials are up to 0.06 K off and only start the search).
// Errors: range (outside the type's voltages, or not a number; names the range).
[[nodiscard]] Result<HotJunction> hotJunctionAt(Type type, double emf_mv);

// The same from a measured voltage and the temperature of the cold junction, which is added as a voltage, never in
// degrees. Errors: range (cold junction or sum outside the type's range).
[[nodiscard]] Result<HotJunction> temperatureC(Type type, double measured_mv, double cold_junction_c);

// The published inverse polynomial [°C], good to the error band that is published with it.
// Errors: range (outside the polynomials' range, which is smaller than that of the forward function).
// Source: NIST Monograph 175 (1993), ITS-90.
[[nodiscard]] Result<double> inversePolynomial(Type type, double emf_mv);

} // namespace potwatch::thermocouple
