// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/typical_values.h"

#include <array>
#include <cmath>

namespace potwatch::chemistry {

namespace {

constexpr double unwarmed_share = 0.1;

// What a watery resin holds follows from its water: resin about 1.7 J/(g K), water 4.18, shared by mass.
constexpr std::array<TypicalValue, 5> resin_specific_heats{{
    {"resole, watery (10-30 % water)", 2.2, 0.2, 1.9, 2.5,
     "mixture by mass of phenolic resin 1.7 and water 4.18 J/(g K); resin from memory"},
    {"resole, nearly dry (under 10 % water)", 1.9, 0.15, 1.7, 2.1,
     "mixture by mass of phenolic resin 1.7 and water 4.18 J/(g K); resin from memory"},
    {"acid-set casting resin", 2.0, 0.2, 1.7, 2.3, "from memory"},
    {"novolac melt with hardener", 1.8, 0.2, 1.5, 2.1, "from memory"},
    {"cured phenolic (second heating)", 1.4, 0.15, 1.2, 1.6,
     "1.20 and 1.48 J/(g K) for two cured resins: Mottram and Taylor; Warfield and Kayser (as cited in a 2018 paper)"},
}};

constexpr std::array<TypicalValue, 3> heats_of_reaction{{
    {"resole, heat-cured", 250.0, 60.0, 150.0, 350.0, "from memory (sealed-pan calorimetry of resoles)"},
    {"novolac with hexamine hardener", 120.0, 40.0, 60.0, 190.0, "from memory (calorimetry of powders)"},
    {"acid-set resole", 260.0, 60.0, 160.0, 360.0, "from memory"},
}};

constexpr std::array<TypicalValue, 11> vessel_specific_heats{{
    {"borosilicate glass", 0.83, 0.03, 0.78, 0.88, "0.83 J/(g K), common tables of materials"},
    {"soda-lime glass", 0.84, 0.03, 0.79, 0.89, "from memory"},
    {"porcelain, stoneware", 0.90, 0.08, 0.75, 1.05, "from memory"},
    {"stainless steel", 0.50, 0.01, 0.48, 0.52, "EN 10088-1, 0.50 J/(g K) at 20 °C (from memory)"},
    {"tinplate, mild steel", 0.47, 0.02, 0.44, 0.50, "from memory"},
    {"aluminium", 0.90, 0.01, 0.88, 0.92, "0.896 J/(g K) at 15 °C, common tables of materials"},
    {"copper, brass", 0.39, 0.01, 0.37, 0.41, "0.39 and 0.40 J/(g K) at 15 °C, common tables of materials"},
    {"polypropylene", 1.85, 0.12, 1.65, 2.05, "from memory"},
    {"polyethylene (HDPE)", 2.05, 0.15, 1.8, 2.3, "from memory"},
    {"PTFE", 1.02, 0.04, 0.95, 1.09, "from memory"},
    {"silicone rubber", 1.3, 0.12, 1.1, 1.5, "from memory"},
}};

} // namespace

std::span<const TypicalValue> resinSpecificHeats() {
    return resin_specific_heats;
}

std::span<const TypicalValue> heatsOfReaction() {
    return heats_of_reaction;
}

std::span<const TypicalValue> vesselSpecificHeats() {
    return vessel_specific_heats;
}

VesselHeatCapacity vesselHeatCapacity(double mass_g, const TypicalValue& material) {
    const double value = mass_g * material.value;
    return {.value_j_per_k = value, .u_j_per_k = std::hypot(mass_g * material.u, unwarmed_share * value)};
}

} // namespace potwatch::chemistry
