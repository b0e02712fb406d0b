// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/cure_law.h"

#include <algorithm>
#include <cmath>

namespace potwatch::forecast {

namespace {

constexpr double zero_celsius_k = 273.15;

} // namespace

CureLaw lawOf(const Kinetics& kinetics) {
    constexpr double j_per_kj = 1000.0;
    CureLaw law{.a1_per_s = kinetics.a1_per_s,
                .e1_j_per_mol = kinetics.e1_kj_per_mol * j_per_kj,
                .a2_per_s = kinetics.a2_per_s,
                .e2_j_per_mol = kinetics.e2_kj_per_mol * j_per_kj,
                .m = kinetics.m,
                .n = kinetics.n,
                .catalyst_order = kinetics.catalyst_order,
                .catalyst_reference_g_per_g = kinetics.catalyst_reference_g_per_g};
    if (kinetics.degree_limit.size() == 2) {
        law.degree_limit = DegreeLimit{.a = kinetics.degree_limit[0], .b_per_k = kinetics.degree_limit[1]};
    }
    if (kinetics.diffusion.size() == 3) {
        law.diffusion = DiffusionControl{
            .sharpness = kinetics.diffusion[0], .a = kinetics.diffusion[1], .b_per_k = kinetics.diffusion[2]};
    }
    return law;
}

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
    double left = 1.0 - degree;
    if (law.degree_limit) {
        const double limit = law.degree_limit->a + law.degree_limit->b_per_k * place.temperature_c;
        left = std::max(0.0, std::min(1.0, limit) - degree);
    }
    double rate = catalyst * (k1 + k2 * std::pow(degree, law.m)) * std::pow(left, law.n);
    if (law.diffusion) {
        const DiffusionControl& diffusion = *law.diffusion;
        rate /= 1.0 + std::exp(diffusion.sharpness * (degree - diffusion.a - diffusion.b_per_k * place.temperature_c));
    }
    return rate;
}

} // namespace potwatch::forecast
