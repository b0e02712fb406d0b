// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/vessel.h"
#include "analysis/kinetics/fit.h"
#include "analysis/kinetics/pot_run.h"
#include "analysis/kinetics/start_values.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::kinetics {

// Runs made ready for a fit: smoothed, balanced, their readings in bins. Shape: an entry a run, blanks left out.
struct FitData {
    std::vector<findings::RunStudy> studies;
    std::vector<PotRun> runs;
    std::vector<PotRun> coarse; // in fewer bins, for the first search
    std::vector<std::optional<findings::CommonLoss>> blanks;
    std::vector<RateSample> samples;
};

// Assumes: the runs outlive the data. Errors: as fitKinetics, but for notConverged.
[[nodiscard]] Result<FitData> fitDataOf(std::span<const Run> runs, const FitOptions& options,
                                        const Progress& progress = {}, std::stop_token stop = {});

// The fit alone. Errors: missing (the data do not determine the law), notConverged, cancelled.
[[nodiscard]] Result<KineticFit> fitKinetics(const FitData& data, const FitOptions& options,
                                             const Progress& progress = {}, std::stop_token stop = {});

} // namespace potwatch::kinetics
