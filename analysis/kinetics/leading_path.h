// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/kinetic_fit.h"

namespace potwatch::kinetics {

// The path of a fitted law that carries most of the cure of its runs.
struct LeadingPath {
    Estimate e_kj_per_mol;
    double share = 1.0; // of the cure; 1 for a law of one path
};

// Assumes: the fit has a run with at least two bins. Shares by the rates of both paths at the runs' own temperatures
// and degrees, weighted by what cured from one bin to the next.
[[nodiscard]] LeadingPath leadingPath(const KineticFit& fit);

} // namespace potwatch::kinetics
