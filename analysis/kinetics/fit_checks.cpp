// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit_checks.h"

#include "analysis/kinetics/pot_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::kinetics {

namespace {

using findings::RunStudy;

// Fewer places at which the rate stands out of the noise do not show a law of up to seven parameters.
constexpr std::size_t fewest_samples = 20;
constexpr double smallest_span_of_degree = 0.3;
// Beyond this no uncertainty of heats explains it: one of the stated figures is another pot's.
constexpr double most_released_share = 1.5;

Fault of(const RunStudy& study, FaultKind kind, std::string what, std::string remedy) {
    return {.kind = kind, .what = std::move(what), .where = {.file = study.run->file}, .remedy = std::move(remedy)};
}

std::optional<Fault> unfitAlone(const RunStudy& study) {
    if (!study.inputs.masses_known || !study.inputs.resin_g) {
        return of(study, FaultKind::input, "the resin's mass is not stated, so there is no heat to fit",
                  "give [charge] resin_g in the batch file");
    }
    if (!study.inputs.heat_of_reaction_j_per_g) {
        return of(study, FaultKind::input, "no heat of reaction is stated, so there is no degree of cure to fit",
                  "give [cure] heat_of_reaction_j_per_g in the batch file");
    }
    if (!study.run->batch.second_heating_of.empty()) {
        return of(study, FaultKind::input, "a second heating is not fitted: its start is another run's end",
                  "leave it out");
    }
    if (study.run->batch.dose && study.run->batch.dose->role == DoseRole::reactant) {
        return of(
            study, FaultKind::input,
            fmt::format("a reactant is dosed in {}, and the laws know a catalyst only: how fast it cures hangs on "
                        "how much of the reactant is there",
                        study.run->name),
            "leave it out, or state [dose] role = \"catalyst\" if it is one");
    }
    if (study.rises.empty()) {
        return of(study, FaultKind::missing, "no exotherm is seen, so there is no cure to fit",
                  "leave this run out, or record from before the rise to its end");
    }
    if (!study.surroundings_known || !study.balance) {
        return of(study, FaultKind::input, "the temperature of the surroundings is not known",
                  "state [surroundings] temperature_c, or record a minute before dosing");
    }
    const double released_j = *std::max_element(study.balance->released_j.begin(), study.balance->released_j.end());
    const double whole_j = *study.inputs.resin_g * study.inputs.heat_of_reaction_j_per_g->value;
    if (released_j > most_released_share * whole_j) {
        return of(study, FaultKind::input,
                  fmt::format("{} released {:.1f} times the heat that a whole cure is stated to have ({:.3g} J of "
                              "{:.3g} J)",
                              study.run->name, released_j / whole_j, released_j, whole_j),
                  "check [cure] heat_of_reaction_j_per_g, [charge] resin_g and [surroundings] in the batch file");
    }
    return std::nullopt;
}

// What two runs of one resin have in common.
std::optional<Fault> different(const RunStudy& a, const RunStudy& b) {
    const Batch& first = a.run->batch;
    const Batch& second = b.run->batch;
    const auto differ = [&](const char* what, double x, double y, const char* unit) {
        return std::abs(x - y) > 1e-9 * std::max(std::abs(x), std::abs(y))
                   ? std::optional(of(b, FaultKind::input,
                                      fmt::format("{} and {} are of different resins: {} is {:g}{} in one and {:g}{} "
                                                  "in the other",
                                                  a.run->name, b.run->name, what, x, unit, y, unit),
                                      "fit the runs of one resin at a time, or mend the batch files"))
                   : std::nullopt;
    };
    if (auto fault = differ("the heat of reaction", a.inputs.heat_of_reaction_j_per_g->value,
                            b.inputs.heat_of_reaction_j_per_g->value, " J/g")) {
        return fault;
    }
    if (auto fault = differ("the degree of cure at the start", a.inputs.start_degree, b.inputs.start_degree, "")) {
        return fault;
    }
    if (first.charge.specific_heat_j_per_g_k && second.charge.specific_heat_j_per_g_k) {
        if (auto fault = differ("the specific heat", *first.charge.specific_heat_j_per_g_k,
                                *second.charge.specific_heat_j_per_g_k, " J/(g K)")) {
            return fault;
        }
    }
    const auto substances = [](const Batch& batch) {
        std::vector<std::string> names;
        for (const Ingredient& part : batch.ingredients) {
            names.push_back(part.substance);
        }
        std::sort(names.begin(), names.end());
        return names;
    };
    const bool other_parts =
        !first.ingredients.empty() && !second.ingredients.empty() && substances(first) != substances(second);
    const bool other_dose = first.dose && second.dose && !first.dose->substance.empty() &&
                            !second.dose->substance.empty() && first.dose->substance != second.dose->substance;
    if (other_parts || other_dose) {
        return of(b, FaultKind::input,
                  fmt::format("{} and {} are of different resins: {} differ", a.run->name, b.run->name,
                              other_parts ? "their ingredients" : "what was dosed"),
                  "fit the runs of one resin at a time, or mend the batch files");
    }
    return std::nullopt;
}

} // namespace

std::optional<Fault> unfit(std::span<const RunStudy> studies, bool find_catalyst_order) {
    if (studies.empty()) {
        return Fault{.kind = FaultKind::missing,
                     .what = "there is no run of a cure among the files",
                     .remedy = "name at least one; blanks only say how the vessel loses heat"};
    }
    std::size_t catalysed = 0;
    for (const RunStudy& study : studies) {
        if (auto fault = unfitAlone(study)) {
            return fault;
        }
        catalysed += catalystOf(study) > 0.0 ? 1 : 0;
    }
    for (const RunStudy& study : studies) {
        if (catalysed > 0 && !(catalystOf(study) > 0.0)) {
            return of(study, FaultKind::input,
                      fmt::format("no catalyst is dosed in {}, but in other runs there is", study.run->name),
                      "state its [dose], or leave it out");
        }
        if (auto fault = different(studies.front(), study)) {
            return fault;
        }
    }
    if (find_catalyst_order && catalysed == 0) {
        return of(studies.front(), FaultKind::input, "no catalyst is dosed in these runs, so its order cannot be found",
                  "state [dose] in the batch files, or leave --catalyst out");
    }
    if (find_catalyst_order && studies.size() < 2) {
        return of(studies.front(), FaultKind::missing,
                  "one run does not tell the catalyst's order: amount and temperature rise together in it",
                  "add a run with another dose or dosing rate, or leave --catalyst out (the order is then taken as 1)");
    }
    return std::nullopt;
}

std::optional<Fault> tooFewData(std::span<const RateSample> samples) {
    double lowest = 1.0;
    double highest = 0.0;
    for (const RateSample& sample : samples) {
        lowest = std::min(lowest, sample.degree);
        highest = std::max(highest, sample.degree);
    }
    if (samples.size() >= fewest_samples && highest - lowest >= smallest_span_of_degree) {
        return std::nullopt;
    }
    return Fault{.kind = FaultKind::missing,
                 .what =
                     samples.empty()
                         ? "too little data: the heat of the cure nowhere stands out of the noise"
                         : fmt::format("too little data: the cure is seen at {} places, from degree {:.2f} to {:.2f}",
                                       samples.size(), lowest, highest),
                 .remedy = "record the whole exotherm, more often a minute, or add runs"};
}

} // namespace potwatch::kinetics
