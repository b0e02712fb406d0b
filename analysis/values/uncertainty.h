// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch {

// How what is known of an input is distributed. A stated standard uncertainty is a type B evaluation: all that is known
// are bounds, so it is taken as rectangular with that standard deviation; what the data themselves determine is normal.
// Source: JCGM 100:2008 (GUM), 4.3.7 and 4.2.
enum class Distribution { normal, rectangular };

// One contribution to the uncertainty of a result, in the unit of the result: sensitivity times input uncertainty, with
// sign.
struct Contribution {
    std::string input;
    double u = 0.0;
    Distribution distribution = Distribution::normal;

    bool operator==(const Contribution&) const = default;
};

// Value with the standard uncertainty of independent contributions and the 95 % interval of their sum: the largest
// rectangular one convolved with a normal distribution for all others. Assumes: contributions independent of each other
// (add correlated ones beforehand). Source: JCGM 100:2008, 5.1.2; JCGM 101:2008, 7.7 (probabilistically symmetric
// interval).
[[nodiscard]] Estimate combine(double value, std::span<const Contribution> contributions);

// Value with the standard deviation of draws about their mean and their probabilistically symmetric 95 % interval, which
// is widened to hold the value. Shape: at least 40 draws, all finite. Source: JCGM 101:2008, 7.6 and 7.7.
[[nodiscard]] Estimate fromDraws(double value, std::vector<double> draws);

// Factor k so that value ± k u holds 95 % of a rectangular distribution of standard deviation u_rectangular convolved
// with a normal one of standard deviation u_normal, u being their root sum of squares. 1.645 for the rectangular
// alone, 1.960 for the normal.
[[nodiscard]] double coverageFactor95(double u_rectangular, double u_normal);

} // namespace potwatch
