// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/fit_data.h"
#include "analysis/kinetics/joint_fit.h"
#include "analysis/values/progress.h"

#include <vector>

namespace potwatch::kinetics {

// The law along the measured temperatures.
struct RoughFit {
    JointFit fit;                            // where the law misses the runs, with their noise raised
    JointFit plain;                          // with their noise as it is
    std::vector<PotRun> runs;                // as `fit` saw them
    std::vector<std::vector<double>> starts; // of the law, best first
};

// From several starts, until two of them lead to one minimum that matches the runs. Errors: notConverged, cancelled.
[[nodiscard]] Result<RoughFit> roughFit(const FitData& data, const JointSettings& settings);

// The law with the model's own temperatures.
struct FineFit {
    JointFit fit;
    std::vector<PotRun> runs; // with the steps it took
};

// From where the rough fit stands; where that does not lead to a law that matches the runs, from all its starts, until
// two agree. What comes back is a minimum: no step leads further by more than a part of a standard uncertainty; a law
// that misses the runs may stop short of it. Where it misses them beyond their noise, that is raised and the fit made
// again. Errors: notConverged, missing (the data
// do not determine the law), cancelled.
[[nodiscard]] Result<FineFit> fineFit(const FitData& data, const RoughFit& rough, const JointSettings& settings,
                                      const Progress& progress = {});

// Chi square of the bins' own noise by their number: about 1 where the law follows the runs.
[[nodiscard]] double reducedChiSquare(const JointFit& fit);

} // namespace potwatch::kinetics
