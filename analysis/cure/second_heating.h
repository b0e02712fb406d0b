// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/cure/degree.h"
#include "analysis/values/estimate.h"

namespace potwatch::cure {

// Degree of cure that a piece had before its second heating, where that may have released more than was seen
// (residual.high_j): 1 - residual / reference, the interval reaching down to 1 - high / reference.
// Source: ISO 11357-5 (residual enthalpy).
[[nodiscard]] Estimate degreeBefore(const ReleasedHeat& residual, const Reference& reference);

// The same without a heat of reaction: what both heatings released together is the whole heat that was left at
// start_degree. Assumes: first.value_j + residual.value_j > 0, the second heating cured the piece to its end, both
// heats independent of each other. Source: as above, JCGM 100:2008, 5.1.2.
[[nodiscard]] Estimate degreeFromBothHeatings(const ReleasedHeat& first, const ReleasedHeat& residual,
                                              double start_degree);

} // namespace potwatch::cure
