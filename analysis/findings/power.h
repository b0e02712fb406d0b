// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"
#include "analysis/landmarks/exotherm.h"

#include <optional>
#include <vector>

namespace potwatch::findings {

// Heat flow of the cure at the knots of the rate [W], or [K/s] where masses are not known, with its standard
// uncertainty from noise.
struct Power {
    std::vector<double> time_s;
    std::vector<double> value;
    std::vector<double> u;
};

// Assumes: the study has a balance with a loss; course is of its curves.
[[nodiscard]] Power powerOf(const RunStudy& study, const landmarks::Course& course);

// Where the heat flow falls below a hundredth of its highest for good, before the rise's end; nothing where it is not
// seen to.
[[nodiscard]] std::optional<Estimate> endTime(const Power& power, const landmarks::Rise& rise);

} // namespace potwatch::findings
