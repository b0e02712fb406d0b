// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

#include <span>
#include <vector>

namespace potwatch::signal {

// How samples count with their distance from the place of the fit: all alike, or falling to nothing at the window's
// edge. tricube: (1 - |u|^3)^3. Source: W. S. Cleveland, J. Am. Stat. Assoc. 74 (1979) 829.
enum class Kernel { uniform, tricube };

inline constexpr int highest_order = 4;

// A polynomial fitted at each place to the samples around it.
// Shape: all of one length, one entry a place; NaN where there is nothing to fit.
// The gains are the standard deviations of value and slope when every sample carries independent noise of standard
// deviation 1: sqrt(sum of squared weights). The covariances belong to the same noise; within a symmetric window they are 0.
struct LocalFit {
    std::vector<double> value;
    std::vector<double> slope_per_s;
    std::vector<double> curvature_per_s2; // second derivative; 0 for order 1
    std::vector<double> value_gain;
    std::vector<double> slope_gain;                 // [1/s]
    std::vector<double> curvature_gain;             // [1/s^2]
    std::vector<double> value_slope_covariance;     // [1/s]
    std::vector<double> slope_curvature_covariance; // [1/s^3]

    bool operator==(const LocalFit&) const = default;
};

// Weighted least-squares polynomial of the samples within half_width_s[i] of each sample, on any spacing.
// Near the ends the window is moved inward and keeps its width. Values that are NaN are passed over (and get the fit of
// their neighbours); where a window holds fewer than order + 2 values it widens until it does. With the uniform kernel,
// even spacing and a half width of m intervals this is savitzkyGolay with 2 m + 1 points. Shape: half_width_s as long
// as the trace; time_s strictly ascending. Assumes: 1 <= order <= highest_order. Source: W. S. Cleveland, as above
// (local regression); weighted normal equations, centred and scaled to the window. Cost: O(samples x window); the
// weights of evenly spaced windows are computed once.
[[nodiscard]] LocalFit localPolynomial(TraceView trace, std::span<const double> half_width_s, int order, Kernel kernel);

// The same at any times within the trace; NaN outside it.
// Shape: half_width_s as long as at_s; at_s in any order.
[[nodiscard]] LocalFit localPolynomialAt(TraceView trace, std::span<const double> at_s,
                                         std::span<const double> half_width_s, int order, Kernel kernel);

} // namespace potwatch::signal
