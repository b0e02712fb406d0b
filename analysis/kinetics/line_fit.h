// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <span>

namespace potwatch::kinetics {

// A straight line through points by least squares.
struct LineFit {
    double slope = 0.0;
    double intercept = 0.0;
    double slope_u = 0.0;      // from the points' own scatter; 0 for two points
    double degrees = 0.0;      // of freedom
    double squares_of_x = 0.0; // about their mean: 0 = no slope can be told
};

// Shape: x and y of one length, at least two. Source: JCGM 100:2008, H.3 (a line by least squares).
[[nodiscard]] LineFit fitLine(std::span<const double> x, std::span<const double> y);

// Value with its standard uncertainty and the 95 % interval of Student's t. Source: JCGM 100:2008, G.3.
[[nodiscard]] Estimate studentEstimate(double value, double u, double degrees);

} // namespace potwatch::kinetics
