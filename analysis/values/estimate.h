// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace potwatch {

// A measured or computed figure with its standard uncertainty and its 95 % interval, all in the unit of the name it
// goes by. Assumes: low <= value <= high, u >= 0, all finite. An unknown figure is a std::optional without a value,
// never a number. Source: JCGM 100:2008 (GUM), 4.2 and 6.2.
struct Estimate {
    double value = 0.0;
    double u = 0.0;
    double low = 0.0;
    double high = 0.0;

    bool operator==(const Estimate&) const = default;
};

// Factor from standard uncertainty to 95 % interval of a normal distribution. Source: JCGM 100:2008, table G.1.
inline constexpr double coverage_factor_95 = 1.959963984540054;

// value ± 1.96 u.
[[nodiscard]] constexpr Estimate normalEstimate(double value, double u) {
    return {.value = value, .u = u, .low = value - coverage_factor_95 * u, .high = value + coverage_factor_95 * u};
}

} // namespace potwatch
