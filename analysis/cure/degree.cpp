// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/cure/degree.h"

#include "analysis/values/uncertainty.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <numbers>
#include <utility>
#include <vector>

namespace potwatch::cure {

namespace {

constexpr double default_c_stage_degree = 0.95;

Estimate withinDegrees(Estimate estimate) {
    estimate.value = std::clamp(estimate.value, 0.0, 1.0);
    estimate.low = std::clamp(estimate.low, 0.0, estimate.value);
    estimate.high = std::clamp(estimate.high, estimate.value, 1.0);
    return estimate;
}

// A degree that a quotient of independent quantities moves.
Estimate withQuotient(double degree, const ReleasedHeat& released, const Reference& reference) {
    const double released_u = released.u_j / reference.heat_j;
    const double quotient = released.value_j / reference.heat_j;
    const double reference_u = reference.own ? 0.0 : quotient * reference.u_j / reference.heat_j;
    const std::array<Contribution, 2> from{Contribution{"released heat", released_u, Distribution::normal},
                                           Contribution{"heat of reaction", reference_u, Distribution::rectangular}};
    return combine(degree, from);
}

} // namespace

Estimate degreeOf(const ReleasedHeat& released, const Reference& reference) {
    Estimate estimate = withQuotient(reference.start_degree + released.value_j / reference.heat_j, released, reference);
    if (released.high_j) {
        estimate.high = std::max(estimate.high, reference.start_degree + *released.high_j / reference.heat_j);
    }
    return withinDegrees(estimate);
}

Estimate degreeFromDraws(double released_j, std::span<const double> drawn_j, std::span<const double> unit,
                         const Reference& reference) {
    std::vector<double> degree;
    degree.reserve(drawn_j.size());
    for (std::size_t i = 0; i < drawn_j.size(); ++i) {
        const double heat_j = reference.heat_j + std::numbers::sqrt3 * reference.u_j * unit[i];
        degree.push_back(reference.start_degree + drawn_j[i] / heat_j);
    }
    return withinDegrees(fromDraws(reference.start_degree + released_j / reference.heat_j, std::move(degree)));
}

Estimate degreeBeforeSecondHeating(const ReleasedHeat& residual, const Reference& reference) {
    return withinDegrees(withQuotient(1.0 - residual.value_j / reference.heat_j, residual, reference));
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
