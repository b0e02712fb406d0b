// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

// What the words in a header mean. English first, with the commonest words of some neighbours; names are UTF-8.
// Source: common practice, no source.

// ASCII letters in lower case.
[[nodiscard]] std::string lowercased(std::string_view text);

// The words of a name in lower case: "Elapsed time (s)" gives elapsed, time, s.
[[nodiscard]] std::vector<std::string> words(std::string_view name);

// Seconds per unit as a quotient, so that whole microseconds stay exact.
struct TimeUnit {
    double numerator = 1.0;
    double denominator = 1.0;
    std::string_view name = "seconds";
};

// What a unit text says: "s", "min", "ms", ...
[[nodiscard]] std::optional<TimeUnit> timeUnit(std::string_view text);

// The unit of time that a name carries: "time_s", "t/ms", "Elapsed (min)", "minutes".
[[nodiscard]] std::optional<TimeUnit> timeUnitInName(std::string_view name);

// Our spelling of a unit text: "°C", "deg C", "Celsius" give "degC"; empty where it is no unit we know.
[[nodiscard]] std::string unitOf(std::string_view text);

// The unit that a name carries: "Temp (°C)", "T [degF]", "pot_c", "U/mV", "RH%"; empty where there is none.
[[nodiscard]] std::string unitInName(std::string_view name);

// True for a unit text, a unit of time or a pattern such as "hh:mm:ss": what stands in a row of units.
[[nodiscard]] bool isUnitCell(std::string_view text);

[[nodiscard]] bool isTimeName(std::string_view name);
[[nodiscard]] bool isDateName(std::string_view name);
[[nodiscard]] bool isRowNumberName(std::string_view name);
// A wind's direction, an angle, a latitude: its degrees are no temperature.
[[nodiscard]] bool isDirectionName(std::string_view name);

[[nodiscard]] bool isTemperatureName(std::string_view name);
[[nodiscard]] bool isTemperatureUnit(std::string_view unit);

} // namespace potwatch::csv
