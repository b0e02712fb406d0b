// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/balance.h"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::findings {

// What one run's own cooling says of its vessel.
struct VesselEvidence {
    std::string run;
    std::string vessel;
    bool blank = false;
    heat::Loss loss;
    double log_u = 0.0; // of ln(coefficient), heat capacity taken as known
    double exponent_u = 0.0;
    double heat_capacity_log_u = 0.0; // of the run's heat capacity: moves the coefficient with it
};

// The loss that several runs of one vessel agree on, weighted by their uncertainties; where they scatter more than
// those say, the scatter counts. For runs (not blanks) log_u leaves out the heat capacity, which is the same resin's in
// all of them. Source: weighted mean with the Birge ratio (R. T. Birge, Phys. Rev. 40 (1932) 207).
struct CommonLoss {
    heat::KnownLoss known;
    std::vector<std::string> from; // names of the runs
    double birge_ratio = 1.0;
};
[[nodiscard]] std::optional<CommonLoss> commonLoss(std::span<const VesselEvidence> evidence);

} // namespace potwatch::findings
