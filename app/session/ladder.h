// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/findings.h"

#include <string>
#include <vector>

namespace potwatch::session {

// One step of knowledge and what it buys.
struct Rung {
    std::string knowledge; // "the vessel's heat capacity"
    std::string buys;      // "the vessel's share of the heat"
    std::string field;     // of the batch, where it is stated: "vessel.heat_capacity_j_per_k"; empty: by recording
    bool reached = false;

    bool operator==(const Rung&) const = default;
};

// The steps from the trace alone to the whole account, in the order in which they pay; those that a run has no use for
// (the water of a pot that did not boil) are left out. findings may be null.
[[nodiscard]] std::vector<Rung> ladder(const Batch& batch, const Findings* findings);

// "with the mass of the resin you also get the heat in joules"; empty where every step is reached.
[[nodiscard]] std::string nextStep(const std::vector<Rung>& rungs);

} // namespace potwatch::session
