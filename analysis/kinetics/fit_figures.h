// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/fit.h"
#include "analysis/kinetics/joint_fit.h"

#include <span>

namespace potwatch::kinetics {

struct FigureSources {
    const JointFit& fit;
    std::span<const PotRun> runs;
    std::span<const findings::RunStudy> studies;
    RateModel model = RateModel::autocatalytic;
    bool order_found = false;
};

// A joint fit as figures with units, intervals and plain words.
[[nodiscard]] KineticFit figuresOf(const FigureSources& sources);

} // namespace potwatch::kinetics
