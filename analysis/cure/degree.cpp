// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/degree.h"

#include <algorithm>
#include <cmath>

namespace potwatch::cure {

namespace {

constexpr double default_c_stage_degree = 0.95;

Estimate withinDegrees(Estimate estimate, double lowest) {
    estimate.low = std::min(estimate.value, std::max(estimate.low, lowest));
    estimate.high = std::max(estimate.value, std::min(estimate.high, 1.0));
    return estimate;
}

// Uncertainty of a quotient of independent quantities.
double quotientU(const ReleasedHeat& released, const Reference& reference) {
    if (reference.own) {
        return released.u_j / reference.heat_j;
    }
    const double quotient = released.value_j / reference.heat_j;
    return std::hypot(released.u_j, quotient * reference.u_j) / reference.heat_j;
}

} // namespace

Estimate degreeOf(const ReleasedHeat& released, const Reference& reference) {
    Estimate estimate =
        normalEstimate(reference.start_degree + released.value_j / reference.heat_j, quotientU(released, reference));
    if (released.high_j) {
        estimate.high = std::max(estimate.high, reference.start_degree + *released.high_j / reference.heat_j);
    }
    return withinDegrees(estimate, 0.0);
}

Estimate degreeBeforeSecondHeating(const ReleasedHeat& residual, const Reference& reference) {
    return withinDegrees(normalEstimate(1.0 - residual.value_j / reference.heat_j, quotientU(residual, reference)),
                         0.0);
}

std::string stageOf(const std::optional<Estimate>& degree, const CureReference& cure, const Outcome& outcome) {
    if (outcome.solvent_test) {
        switch (*outcome.solvent_test) {
        case SolventTest::soluble:
            return "A";
        case SolventTest::swells:
            return "B";
        case SolventTest::insoluble:
            return "C";
        }
    }
    if (!degree) {
        return {};
    }
    if (degree->value >= cure.c_stage_degree.value_or(default_c_stage_degree)) {
        return "C";
    }
    if (!cure.gel_degree) {
        return {};
    }
    return degree->value >= *cure.gel_degree ? "B" : "A";
}

} // namespace potwatch::cure
