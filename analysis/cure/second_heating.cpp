// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/second_heating.h"

#include <algorithm>
#include <cmath>

namespace potwatch::cure {

Estimate degreeBefore(const ReleasedHeat& residual, const Reference& reference) {
    Estimate degree = degreeBeforeSecondHeating(residual, reference);
    if (residual.high_j) {
        degree.low = std::min(degree.low, std::max(0.0, 1.0 - *residual.high_j / reference.heat_j));
    }
    return degree;
}

Estimate degreeFromBothHeatings(const ReleasedHeat& first, const ReleasedHeat& residual, double start_degree) {
    const double whole_j = first.value_j + residual.value_j;
    const double left = 1.0 - start_degree;
    const double u =
        left * std::hypot(first.value_j * residual.u_j, residual.value_j * first.u_j) / (whole_j * whole_j);
    Estimate degree = normalEstimate(1.0 - left * residual.value_j / whole_j, u);
    if (residual.high_j) {
        const double high_j = std::max(residual.value_j, *residual.high_j);
        degree.low = std::min(degree.low, 1.0 - left * high_j / (first.value_j + high_j));
    }
    if (first.high_j) {
        const double high_j = std::max(first.value_j, *first.high_j);
        degree.high = std::max(degree.high, 1.0 - left * residual.value_j / (high_j + residual.value_j));
    }
    degree.low = std::min(degree.value, std::max(degree.low, 0.0));
    degree.high = std::max(degree.value, std::min(degree.high, 1.0));
    return degree;
}

} // namespace potwatch::cure
