// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace potwatch::kinetics {

// Temperature integral p(x) = exp(-x)/x - E1(x), x = E / (R T): an Arrhenius rate integrated over a constant heating
// rate is A E / (beta R) p(x). Returned as -log10 p(x). Assumes: x > 0.
// Source: J. H. Flynn, L. A. Wall, J. Polym. Sci. B 4 (1966) 323.
[[nodiscard]] double minusLog10TemperatureIntegral(double x);

// Its slope b = -d(log10 p)/dx, which Doyle's approximation takes as 0.4567 everywhere.
[[nodiscard]] double temperatureIntegralSlope(double x);

} // namespace potwatch::kinetics
