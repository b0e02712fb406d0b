// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/fit.h"
#include "analysis/kinetics/joint_fit.h"

#include <optional>
#include <span>

namespace potwatch::kinetics {

// Root mean square of measured less modelled degree of cure, over all bins.
[[nodiscard]] double rmseOf(const JointFit& fit, std::span<const PotRun> runs);

// With the absolute AIC: n ln(chi square / n) + 2 k, n the bins, k the unknowns.
[[nodiscard]] ComparedModel comparedModel(RateModel model, const JointFit& fit, double rmse_degree);

// Turns the AIC into differences, and says what the comparison and the catalyst's held order mean.
void finishComparison(KineticFit& result, std::optional<double> order_held, bool catalysed);

} // namespace potwatch::kinetics
