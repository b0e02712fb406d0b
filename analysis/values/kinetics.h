// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace potwatch {

enum class RateModel { nth_order, autocatalytic };

// What a fit leaves behind beside its values: what intervals and warnings of a forecast need.
struct KineticsFit {
    // Names as in the kinetics file; a frequency factor stands by its logarithm, "ln_a1_per_s".
    std::vector<std::string> parameters;
    std::vector<std::vector<double>> covariance; // of those, in their units
    double t_min_c = 0.0;                        // range of what was fitted
    double t_max_c = 0.0;
    std::array<double, 2> degree_range{0.0, 1.0};
    std::array<double, 2> catalyst_range_g_per_g{0.0, 0.0};

    bool operator==(const KineticsFit&) const = default;
};

// How a resin cures: the kinetics file, field for field (io/kinetics/FORMAT.md). Field names and units are the TOML
// keys. d(degree)/dt = (c / c_ref)^p (k1 + k2 degree^m) (1 - degree)^n, k = A exp(-E / (R T)); of the nth order a2 = 0.
struct Kinetics {
    std::string file; // where it was read from; empty = nowhere
    RateModel kind = RateModel::autocatalytic;
    double heat_of_reaction_j_per_g = 0.0;
    double a1_per_s = 0.0;
    double e1_kj_per_mol = 0.0;
    double a2_per_s = 0.0;
    double e2_kj_per_mol = 0.0;
    double m = 1.0;
    double n = 1.0;
    double catalyst_order = 0.0;
    double catalyst_reference_g_per_g = 1.0;
    std::vector<double> degree_limit; // empty, or [a, b_per_k]: a + b (T - 0 °C) is the highest degree reachable at T
    std::vector<double> diffusion; // empty, or [c, a, b_per_k]: the rate over 1 + exp(c (degree - a - b (T - 0 °C)))
    std::optional<KineticsFit> fit;

    bool operator==(const Kinetics&) const = default;
};

} // namespace potwatch
