// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <span>
#include <string_view>

namespace potwatch::chemistry {

// A usual value of something that a person may not know, wide enough to hold what is met with.
// Assumes: low and high are where nearly all cases lie; u is the standard uncertainty of taking `value` for a case that
// is not known better, half of (high - low) / sqrt(3) or more.
struct TypicalValue {
    std::string_view of; // "resole, watery (syrup)"
    double value = 0.0;
    double u = 0.0;
    double low = 0.0;
    double high = 0.0;
    std::string_view source;
};

// Specific heat of resins as they are poured [J/(g K)].
[[nodiscard]] std::span<const TypicalValue> resinSpecificHeats();

// Heat of the full cure by kind of resin [J/g of resin].
[[nodiscard]] std::span<const TypicalValue> heatsOfReaction();

// Specific heat of what vessels are made of, 20 to 100 °C [J/(g K)].
[[nodiscard]] std::span<const TypicalValue> vesselSpecificHeats();

// Heat capacity of a vessel [J/K] of a mass [g] and a material, with its standard uncertainty: the material's, and a
// tenth for the part of the vessel that does not warm with the charge (common practice, no source).
struct VesselHeatCapacity {
    double value_j_per_k = 0.0;
    double u_j_per_k = 0.0;
};
[[nodiscard]] VesselHeatCapacity vesselHeatCapacity(double mass_g, const TypicalValue& material);

} // namespace potwatch::chemistry
