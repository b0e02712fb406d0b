// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/cure_law.h"

#include <algorithm>
#include <cmath>

namespace potwatch::forecast {

namespace {

constexpr double zero_celsius_k = 273.15;

} // namespace

double curingRatePerS(const CureLaw& law, const CurePlace& place) {
    // An integrator's trial step may leave the range by a little.
    const double degree = std::clamp(place.degree, 0.0, 1.0);
    const double thermal = -1.0 / (gas_constant_j_per_mol_k * (place.temperature_c + zero_celsius_k));
    const double k1 = law.a1_per_s * std::exp(law.e1_j_per_mol * thermal);
    const double k2 = law.a2_per_s == 0.0 ? 0.0 : law.a2_per_s * std::exp(law.e2_j_per_mol * thermal);
    const double catalyst =
        law.catalyst_order == 0.0
            ? 1.0
            : std::pow(std::max(0.0, place.catalyst_g_per_g) / law.catalyst_reference_g_per_g, law.catalyst_order);
    return catalyst * (k1 + k2 * std::pow(degree, law.m)) * std::pow(1.0 - degree, law.n);
}

} // namespace potwatch::forecast
