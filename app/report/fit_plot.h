// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/fit.h"
#include "analysis/values/fault.h"

#include <string>

namespace potwatch::report {

// Draws what a fit misses into a file whose ending says the format (.svg, .pdf or .png): on the left what each run's
// degree of cure is off by against the degree, on the right measured against modelled degree. Runs are told apart by
// the form of their marks and by their names.
// Errors: as writePlot.
[[nodiscard]] Result<void> writeFitPlot(const KineticFit& fit, const std::string& path);

} // namespace potwatch::report
