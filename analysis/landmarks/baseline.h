// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

namespace potwatch::landmarks {

// The straight line that the temperature followed before anything happened: level at middle_s, and a slope where the
// data show one.
struct Baseline {
    double from_s = 0.0;
    double to_s = 0.0;
    double middle_s = 0.0;
    double level_c = 0.0;
    double slope_k_per_s = 0.0;
    double level_u_k = 0.0;
    double slope_u_k_per_s = 0.0; // of the slope used: 0 where no slope is used

    [[nodiscard]] double at(double time_s) const { return level_c + slope_k_per_s * (time_s - middle_s); }
};

// Least-squares baseline of the readings from from_s to to_s. The slope is kept only where it differs from zero by more
// than four standard uncertainties; otherwise the baseline is the mean. Shape: NaN skipped; with no reading in the
// stretch, the first finite one. Source: ISO 11357-1 (baseline), applied to temperature against time; significance by
// Student's t at large n (GUM, annex G).
[[nodiscard]] Baseline baselineOf(TraceView reading, double from_s, double to_s, double noise_k);

} // namespace potwatch::landmarks
