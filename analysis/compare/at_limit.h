// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/trend.h"

#include <optional>

namespace potwatch::compare {

// Where a trend meets a limit: "the rate that keeps the peak under 95 °C".
struct AtLimit {
    double limit = 0.0;
    double x = 0.0;                   // where the trend itself meets it
    std::optional<Estimate> estimate; // x with its 95 % interval, where both ends are determined
    std::optional<double> low;        // the ends; one that the runs do not determine is empty
    std::optional<double> high;
    std::optional<double> one_run; // the x at which one more run stays on the near side of the limit in 97.5 % of cases
    bool outside = false;          // x lies outside of the range that was tried: an extrapolation
    bool rising = true;            // the trend rises with x: below x is under the limit
};

// The inverse of the trend. The interval holds every x at which the limit is not contradicted by the runs (profile
// likelihood), with Student's t so that without censored runs and own uncertainties it is Fieller's interval exactly.
// Unless a form was asked for, the tails of all forms that the runs do not speak against are averaged with their AICc
// weights (evenly where there are too few runs for it), and no form is held to be exact far from the limit. Beyond what
// was tried the interval is open.
// Errors: missing (the trend is level, or never comes to the limit within a tenth of the lowest to ten times the
// highest x; says so).
// Source: E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175; profile likelihood: common practice, no source;
// averaged tails: D. Turek, D. Fletcher, Comput. Stat. Data Anal. 56 (2012) 2809 (from memory).
[[nodiscard]] Result<AtLimit> atLimit(const Trend& trend, double limit);

} // namespace potwatch::compare
