// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/kinetics.h"

#include <optional>

namespace potwatch::forecast {

// Gas constant [J/(mol K)]. Source: CODATA 2018, exact.
inline constexpr double gas_constant_j_per_mol_k = 8.31446261815324;

// The highest degree of cure that is reached at a temperature T [°C]: a + b_per_k T, held to 0 ... 1. Above it the
// resin is a glass, and (1 - degree) in the law is (limit - degree).
struct DegreeLimit {
    double a = 1.0;
    double b_per_k = 0.0;

    bool operator==(const DegreeLimit&) const = default;
};

// A cure that ends by diffusion: the rate is divided by 1 + exp(sharpness (degree - a - b_per_k T)), T in °C.
// Source: K. C. Cole, J. J. Hechler, D. Noel, Macromolecules 24 (1991) 3098 (from memory).
struct DiffusionControl {
    double sharpness = 0.0;
    double a = 1.0;
    double b_per_k = 0.0;

    bool operator==(const DiffusionControl&) const = default;
};

// How fast a resin cures: d(degree)/dt = (c / c_ref)^p (k1 + k2 degree^m) (1 - degree)^n, k = A exp(-E / (R T)).
// Without catalyst (c = 0) and with p > 0 nothing cures; p = 0 is a cure that needs none; A2 = 0 is the nth-order law.
// Source: M. R. Kamal, S. Sourour, Polym. Eng. Sci. 13 (1973) 59, with the catalyst's power law.
struct CureLaw {
    double a1_per_s = 0.0;
    double e1_j_per_mol = 0.0;
    double a2_per_s = 0.0;
    double e2_j_per_mol = 0.0;
    double m = 1.0;
    double n = 1.0;
    double catalyst_order = 0.0;             // p
    double catalyst_reference_g_per_g = 1.0; // c_ref, g of catalyst per g of resin
    std::optional<DegreeLimit> degree_limit;
    std::optional<DiffusionControl> diffusion;

    bool operator==(const CureLaw&) const = default;
};

struct CurePlace {
    double temperature_c = 0.0;
    double degree = 0.0; // held to 0 ... 1
    double catalyst_g_per_g = 0.0;
};

// The law of a kinetics file.
[[nodiscard]] CureLaw lawOf(const Kinetics& kinetics);

// Rate of cure [1/s].
[[nodiscard]] double curingRatePerS(const CureLaw& law, const CurePlace& place);

} // namespace potwatch::forecast
