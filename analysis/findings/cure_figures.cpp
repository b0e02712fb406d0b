// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/cure_figures.h"

#include "analysis/cure/equivalent_time.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace potwatch::findings {

namespace {

// Points between two knots of the smoothed temperature, for what is not straight there.
constexpr int points_a_knot = 4;

} // namespace

std::optional<FirstHeating> firstHeatingFor(const RunStudy& second, const RunStudy& first) {
    if (!first.balance || !first.inputs.masses_known || !first.inputs.resin_g || !second.inputs.resin_g) {
        return std::nullopt;
    }
    const double scale = *second.inputs.resin_g / *first.inputs.resin_g;
    const heat::Balance& balance = *first.balance;
    FirstHeating found{.run = first.run->name, .start_degree = first.inputs.start_degree};
    found.released.value_j = scale * balance.released_j.back();
    found.released.u_j = scale * balance.released_u_j.back();
    if (!balance.loss) {
        found.released.high_j = scale * balance.released_high_j;
    }
    return found.released.value_j > 0.0 ? std::optional(found) : std::nullopt;
}

std::optional<cure::GelTime> gelTimeOf(const RunStudy& study, const cure::Reference& reference) {
    const std::optional<double> gel_degree = study.run->batch.cure.gel_degree;
    if (!gel_degree || !study.balance || !study.balance->loss || reference.own) {
        return std::nullopt;
    }
    const heat::Balance& balance = *study.balance;
    std::vector<double> degree;
    std::vector<double> low;
    std::vector<double> high;
    for (std::size_t i = 0; i < balance.released_j.size(); ++i) {
        const Estimate at = cure::degreeOf(
            {.value_j = balance.released_j[i], .u_j = balance.released_u_j[i], .high_j = std::nullopt}, reference);
        degree.push_back(at.value);
        low.push_back(at.low);
        high.push_back(at.high);
    }
    return cure::gelTime({.time_s = balance.course.time_s, .degree = degree, .low = low, .high = high}, *gel_degree);
}

EquivalentTime equivalentTimeOf(const RunStudy& study, const landmarks::Course& course, const EquivalentAt& asked) {
    const Inputs& in = study.inputs;
    double from_s = course.time_s.front();
    if (in.dose) {
        from_s = std::clamp(in.dose->startS(), from_s, course.time_s.back());
    }
    std::vector<double> time_s{from_s};
    for (std::size_t i = 1; i < course.time_s.size(); ++i) {
        for (int k = 1; k <= points_a_knot; ++k) {
            const double at_s = course.time_s[i - 1] + (course.time_s[i] - course.time_s[i - 1]) * k / points_a_knot;
            if (at_s > from_s) {
                time_s.push_back(at_s);
            }
        }
    }
    const std::vector<double> temperature_c =
        signal::hermite(course.time_s, course.temperature_c, course.slope_k_per_s, time_s);
    std::vector<double> lag_u_k = signal::linear(course.time_s, study.curves.level.fit.slope_per_s, time_s);
    for (double& u_k : lag_u_k) {
        u_k *= in.lag_s.u;
    }
    const std::vector<double> common_u_k(time_s.size(), in.thermocouple_u_k);
    return {.time_s = cure::equivalentTime(
                {.time_s = time_s, .temperature_c = temperature_c, .common_u_k = common_u_k, .lag_u_k = lag_u_k},
                asked.reference_c, asked.e_kj_per_mol),
            .reference_c = asked.reference_c,
            .e_kj_per_mol = asked.e_kj_per_mol,
            .from_s = from_s};
}

} // namespace potwatch::findings
