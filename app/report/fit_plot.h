// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/kinetic_fit.h"
#include "analysis/values/model_free.h"

#include <string>

namespace potwatch::report {

struct FitPicture {
    const KineticFit& fit;
    const ModelFree* energies = nullptr; // of the method that needs no law; null = no pane for it
};

// Draws a fit into a file whose ending says the format (.svg, .pdf or .png), in panes side by side: what each run's
// degree of cure is off by against the degree, measured against modelled degree, and the activation energy over the
// degree with the law's own. Runs are told apart by the form of their marks and by the key under the panes.
// Errors: as writePlot.
[[nodiscard]] Result<void> writeFitPlot(const FitPicture& picture, const std::string& path);

} // namespace potwatch::report
