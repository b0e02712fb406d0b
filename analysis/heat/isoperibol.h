// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/trace.h"

namespace potwatch::heat {

// The periods of a calorimetric run in a jacket of constant temperature: fore-period up to start_s, main period up to
// end_s, after-period.
struct Periods {
    double from_s = 0.0;
    double start_s = 0.0;
    double end_s = 0.0;
    double to_s = 0.0;
};

// The rise of a calorimeter without the heat that it exchanged with its jacket, by two rules of old.
struct CalorimetricRise {
    double raw_k = 0.0; // from the start to the end of the main period
    double fore_drift_k_per_s = 0.0;
    double after_drift_k_per_s = 0.0;
    double fore_mean_c = 0.0;
    double after_mean_c = 0.0;
    double exchange_per_s = 0.0;       // Newton's coefficient, of loss over heat capacity
    double regnault_pfaundler_k = 0.0; // the drift followed along the measured curve
    double dickinson_s = 0.0;          // when 60 % of the raw rise is reached
    double dickinson_k = 0.0;          // the fore-drift up to there, the after-drift from there
    double equal_area_s = 0.0;         // where Dickinson's rule would agree with the other one
};

// Shape: trace without gaps, times strictly ascending, with rows at the ends of the periods (the nearest ones count).
// Errors: input (a period with fewer than three rows; lengths differ), range (both drifts alike, no rise).
// Source: Regnault-Pfaundler and Dickinson corrections as calorimetry's textbooks have them, and ASTM D240 (the rule of
// six tenths); drifts by least squares, integrals by parabolas through three rows.
[[nodiscard]] Result<CalorimetricRise> calorimetricRise(TraceView trace, const Periods& periods);

} // namespace potwatch::heat
