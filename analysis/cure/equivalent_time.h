// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <span>

namespace potwatch::cure {

// The temperature that a piece went through. Shape: all of one length, at least two; time_s ascending.
struct ThermalHistory {
    std::span<const double> time_s;
    std::span<const double> temperature_c;
    // What is off alike all along (thermocouple) and in proportion to something (lag times slope), one standard
    // uncertainty of each, with sign; empty = nothing.
    std::span<const double> common_u_k;
    std::span<const double> lag_u_k;
};

// Time at reference_c that cures as far as the history did [s]: integral of exp(-E/R (1/T - 1/T_ref)) dt, exact where
// 1/T is straight between the rows. Uncertainty from E and from the temperature; the interval is that of a normal
// distribution of the logarithm, as the energy stands in an exponent. Holds for a cure with one activation energy, and
// with the catalyst as it was. Source: the reduced time of an Arrhenius law; JCGM 100:2008, 5.1.
[[nodiscard]] Estimate equivalentTime(const ThermalHistory& history, double reference_c, const Estimate& e_kj_per_mol);

} // namespace potwatch::cure
