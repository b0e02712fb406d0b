// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"

#include <optional>

namespace potwatch::findings {

// A stretch before the dose, in which nothing reacts and nothing is done.
struct QuietStretch {
    double from_s = 0.0;
    double to_s = 0.0;
    double mean_c = 0.0;
    double rate_k_per_s = 0.0;
    double rate_u_k_per_s = 0.0; // noise and rounding of the readings
};

// Nothing where there is no dose that starts the cure, or too little before it.
[[nodiscard]] std::optional<QuietStretch> quietStretchOf(const RunStudy& study);

// Balances the heat of study.problem into study.balance, and holds the balance against the quiet stretch. A room that
// is not stated is where a pot that cools there would come to rest. Power that nobody stated (a plate, a stirrer, a
// room other than stated) is told in a warning and put into the interval: the heat without it, with it up to the peak,
// and with it throughout. Where it would make up most of the heat, the heat is withdrawn (study.heat_withdrawn).
// Assumes: study.surroundings_known. Source: first law for the pot at rest, P = C dT/dt + UA (T - Te).
void balanceHeat(RunStudy& study);

} // namespace potwatch::findings
