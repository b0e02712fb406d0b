// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// Activation energy that several runs agree on at one degree of cure, whatever the law of cure may be.
struct EnergyAtDegree {
    double degree = 0.0;
    Estimate e_kj_per_mol;
    std::size_t runs = 0; // that pass this degree
    double t_min_c = 0.0; // temperatures at which they pass it
    double t_max_c = 0.0;

    bool operator==(const EnergyAtDegree&) const = default;
};

// What a model-free method says over the course of a cure.
struct ModelFree {
    std::string method;                     // "Friedman", "KAS", ...
    std::vector<EnergyAtDegree> at;         // by degree
    std::optional<Estimate> catalyst_order; // by which rates were divided; nothing where no catalyst counts
    bool order_found = false;               // from these runs; false: it was stated
    std::vector<std::string> warnings;

    bool operator==(const ModelFree&) const = default;
};

// Activation energy from how the temperature of the fastest cure moves with the heating rate.
struct EnergyFromPeaks {
    std::string method; // "Kissinger", "Ozawa", "ASTM E698"
    Estimate e_kj_per_mol;
    double a_per_s = 0.0; // frequency factor of a first-order cure
    std::size_t runs = 0;

    bool operator==(const EnergyFromPeaks&) const = default;
};

// What runs of constant heating rates say of a cure.
struct ConstantRateFindings {
    std::vector<double> heating_k_per_min; // of the runs, in their order
    std::vector<EnergyFromPeaks> peaks;    // Kissinger, Ozawa, ASTM E698
    std::vector<ModelFree> by_degree;      // KAS, Flynn-Wall-Ozawa
    std::vector<std::string> warnings;

    bool operator==(const ConstantRateFindings&) const = default;
};

} // namespace potwatch
