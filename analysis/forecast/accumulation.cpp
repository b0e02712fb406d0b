// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/accumulation.h"

#include "analysis/forecast/adiabatic.h"
#include "analysis/heat/dose.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string_view>

namespace potwatch::forecast {

namespace {

const Input* inputOf(const Findings& findings, std::string_view name) {
    const auto found = std::find_if(findings.inputs.begin(), findings.inputs.end(),
                                    [&](const Input& input) { return input.name == name; });
    return found == findings.inputs.end() ? nullptr : &*found;
}

} // namespace

std::optional<Estimate> thermalInertiaOf(const Findings& findings) {
    const Input* const vessel = inputOf(findings, "heat capacity of the vessel");
    const std::optional<Estimate>& whole = findings.heat.heat_capacity_j_per_k;
    if (!whole || vessel == nullptr || vessel->from == "default" || !(vessel->value < whole->value)) {
        return std::nullopt;
    }
    // phi = 1 + vessel / contents, both independent of each other.
    const double contents = whole->value - vessel->value;
    const double vessel_u = vessel->u.value_or(0.0);
    const double contents_u = std::sqrt(std::max(0.0, whole->u * whole->u - vessel_u * vessel_u));
    Estimate phi = normalEstimate(thermalInertia(whole->value, {.mass_g = contents, .specific_heat_j_per_g_k = 1.0}),
                                  std::hypot(vessel_u, vessel->value * contents_u / contents) / contents);
    phi.low = std::max(1.0, phi.low);
    return phi;
}

std::optional<Mtsr> mtsrOf(const Analysis& analysis, const Batch& batch) {
    const Findings& findings = analysis.findings;
    const Series& series = analysis.series;
    const Input* const resin = inputOf(findings, "resin");
    const Input* const dose_heat = inputOf(findings, "specific heat of the dose");
    const Input* const reaction = inputOf(findings, "heat of reaction");
    const std::optional<Estimate>& capacity = findings.heat.heat_capacity_j_per_k;
    const bool counts = batch.dose && batch.dose->role != DoseRole::diluent;
    if (!counts || resin == nullptr || dose_heat == nullptr || reaction == nullptr || !capacity ||
        series.time_s.empty() || series.degree.size() != series.time_s.size()) {
        return std::nullopt;
    }
    const heat::DoseAsGiven given = heat::doseAsGiven(*batch.dose, batch.events, series.time_s.back());
    if (!given.course || !(given.course->totalG() > 0.0)) {
        return std::nullopt;
    }
    const double until_s = findings.landmarks.boil_plateau ? findings.landmarks.boil_plateau->start_s
                                                           : std::numeric_limits<double>::infinity();
    const double total_g = given.course->totalG();
    std::optional<Mtsr> found;
    for (std::size_t i = 0; i < series.time_s.size() && series.time_s[i] <= until_s; ++i) {
        if (!std::isfinite(series.temperature_c[i]) || !std::isfinite(series.degree[i])) {
            continue;
        }
        const double dosed_g = given.course->dosedAt(series.time_s[i]);
        const AdiabaticPot pot{.law = {},
                               .resin_g = resin->value,
                               .heat_of_reaction_j_per_g = reaction->value,
                               .heat_capacity_j_per_k = capacity->value - (total_g - dosed_g) * dose_heat->value};
        const double could_reach_c = mtsrC(pot, {.role = batch.dose->role,
                                                 .temperature_c = series.temperature_c[i],
                                                 .degree = series.degree[i],
                                                 .catalyst_g_per_g = dosed_g / resin->value,
                                                 .dosed_share = dosed_g / total_g});
        if (found && could_reach_c <= found->temperature_c.value) {
            continue;
        }
        const double share = batch.dose->role == DoseRole::reactant ? dosed_g / total_g : (dosed_g > 0.0 ? 1.0 : 0.0);
        const double relative_u =
            std::hypot(reaction->u.value_or(0.0) / reaction->value, capacity->u / capacity->value);
        const double known_u = series.temperature_u_k.size() == series.time_s.size() ? series.temperature_u_k[i] : 0.0;
        found = Mtsr{.temperature_c = normalEstimate(
                         could_reach_c, std::hypot(share * relative_u * adiabaticRiseK(pot, 0.0), known_u)),
                     .time_s = series.time_s[i]};
    }
    return found;
}

} // namespace potwatch::forecast
