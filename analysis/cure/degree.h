// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/estimate.h"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::cure {

// Heat of the whole cure, against which released heat is a degree of cure.
struct Reference {
    double heat_j = 0.0;
    double u_j = 0.0; // as it is stated: rectangular, see Distribution
    double start_degree = 0.0;
    bool own = false; // the heat this run itself released: the final degree is then 1 by construction
};

// Heat released by one time, with what the degree's uncertainty is made of.
struct ReleasedHeat {
    double value_j = 0.0;
    double u_j = 0.0;
    std::optional<double> high_j; // where the heat is a lower bound: what it could be at the most
};

// Degree of cure: start + released / reference, with both uncertainties. Value and interval are kept within what a
// degree can be, 0 to 1. Assumes: reference.heat_j > 0. Source: ISO 11357-5 (degree of conversion), with JCGM
// 100:2008, 5.1.6 for a quotient.
[[nodiscard]] Estimate degreeOf(const ReleasedHeat& released, const Reference& reference);

// The same where the released heat was drawn many times, beside draws that are uniform in -1..1 for the reference: the
// quotient of both, draw by draw. Shape: one length, at least 40. Source: JCGM 101:2008, 7.
[[nodiscard]] Estimate degreeFromDraws(double released_j, std::span<const double> drawn_j, std::span<const double> unit,
                                       const Reference& reference);

// Degree of cure that the piece had before a second heating released what was left: 1 - residual / reference.
// Source: ISO 11357-5 (residual enthalpy).
[[nodiscard]] Estimate degreeBeforeSecondHeating(const ReleasedHeat& residual, const Reference& reference);

// Stage "A" (before gel), "B" (from gel on) or "C" (insoluble and infusible); empty where it cannot be told. A recorded
// solvent test outranks the degree: soluble A, swells B, insoluble C. Source: the stages of phenolic resins, common
// practice, no source.
[[nodiscard]] std::string stageOf(const std::optional<Estimate>& degree, const CureReference& cure,
                                  const Outcome& outcome);

} // namespace potwatch::cure
