// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/water.h"
#include "analysis/findings/analyse_run.h"
#include "analysis/findings/by_hand.h"
#include "analysis/findings/power_before.h"
#include "analysis/findings/stretches.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::findings {

namespace {

// Beyond this many standard uncertainties two figures disagree.
constexpr double disagreement_sigma = 3.0;

heat::Profile constant(double value) {
    return {.time_s = {0.0, 1.0}, .value = {value, value}};
}

void findSurroundings(RunStudy& study) {
    heat::BalanceProblem& problem = study.problem;
    if (study.inputs.surroundings_c) {
        problem.surroundings_c = *study.inputs.surroundings_c;
        study.surroundings_known = true;
    } else if (!study.rises.empty() && !study.rises.front().starts_rising && !study.rises.front().follows) {
        const double level_c = study.rises.front().baseline.level_c;
        problem.surroundings_c = constant(level_c);
        study.surroundings_known = true;
        study.inputs.stated.push_back({.name = "surroundings",
                                       .unit = "°C",
                                       .value = level_c,
                                       .u = study.inputs.surroundings_u_k,
                                       .from = "pot before the rise"});
    }
}

landmarks::Heating heatingOf(const Batch& batch, const Inputs& inputs) {
    landmarks::Heating heating;
    if (inputs.surroundings_c) {
        heating.surroundings_c = {inputs.surroundings_c->time_s, inputs.surroundings_c->value};
        heating.loss_known = inputs.stated_loss.has_value();
    }
    if (inputs.dose) {
        heating.dose_start_s = inputs.dose->startS();
        heating.dose_cures = batch.dose->role != DoseRole::diluent;
    }
    return heating;
}

} // namespace

Result<RunStudy> study(const Run& run, const AnalyseOptions& options) {
    RunStudy study;
    study.run = &run;
    const Result<std::size_t> channel = potChannel(run, options.channel);
    if (!channel) {
        return tl::unexpected(channel.error());
    }
    Result<Prepared> prepared = prepare(run, *channel);
    if (!prepared) {
        return tl::unexpected(prepared.error());
    }
    study.prepared = *std::move(prepared);
    Result<Inputs> inputs = inputsOf(run, run.channels[*channel].name);
    if (!inputs) {
        return tl::unexpected(inputs.error());
    }
    study.inputs = *std::move(inputs);
    const Inputs& in = study.inputs;
    study.curves = landmarks::smoothCurves(study.prepared.view(), in.lag_s.value, study.prepared.noise_k);
    study.curves.rounding_u_k = study.prepared.rounding_u_k;
    study.curves.reading_interval_s = study.prepared.samples.median_interval_s;
    if (!run.batch.blank) {
        study.rises =
            landmarks::findRises(study.prepared.view(), study.curves, in.lag_s.value, heatingOf(run.batch, in));
    }
    const landmarks::Course course = landmarks::courseOf(study.curves, in.lag_s.value);
    if (!study.rises.empty()) {
        study.main_rise = landmarks::hottestOf(study.rises);
        landmarks::Rise& main = study.rises[study.main_rise];
        study.plateau = landmarks::findBoilPlateau(course, main, in.boiling);
        if (!run.overrides.empty()) {
            PutByHand put = putByHand(run.overrides, main, study.plateau, course, study.curves);
            main = put.rise;
            study.plateau = put.plateau;
            study.by_hand = std::move(put.used);
            study.warnings = std::move(put.warnings);
        }
    } else if (!run.overrides.empty()) {
        study.warnings.emplace_back(run.batch.blank ? "a blank has no landmarks: those put by hand are left out"
                                                    : "there is no exotherm for the landmarks put by hand: they are "
                                                      "left out");
    }
    findSurroundings(study);

    heat::BalanceProblem& problem = study.problem;
    problem.lag_s = in.lag_s;
    problem.surroundings_u_k = in.surroundings_u_k;
    problem.heater_w = in.heater_w;
    problem.exponent = in.exponent;
    problem.known_loss = in.stated_loss;
    problem.plateau = study.plateau;
    problem.boiling_c = in.boiling.temperature_c;
    problem.boil_g_per_s_k = in.boil_g_per_s_k;
    if (in.masses_known) {
        problem.charge_j_per_k = in.charge_j_per_k;
        problem.vessel_j_per_k = in.vessel_j_per_k;
        problem.pot.heat_capacity_j_per_k = in.charge_j_per_k.value + in.vessel_j_per_k.value;
        problem.pot.dose = in.dose;
        problem.pot.dose_specific_heat_j_per_g_k = in.dose_specific_heat_j_per_g_k;
        if (study.surroundings_known) {
            problem.pot.dose_temperature_c = in.dose_temperature_c.value_or(problem.surroundings_c.value.front());
        }
        problem.pot.latent_heat_j_per_g = in.latent_heat_j_per_g;
        problem.pot.water_specific_heat_j_per_g_k = chemistry::liquidSpecificHeatJPerGK(in.boiling.temperature_c);
        if (in.weighed_loss_g) {
            problem.evaporation_weighed = true;
            // Without a plateau there is no time at which the water left: it is not put into the balance.
            problem.pot.evaporated_g = study.plateau ? *in.weighed_loss_g : 0.0;
            problem.evaporated_u_g = study.plateau ? 0.05 : 0.0;
            if (!study.plateau && *in.weighed_loss_g > 0.0) {
                study.warnings.push_back(
                    "mass was lost, but no boiling is seen in the trace: the weighed loss does not "
                    "count in the balance");
            }
        }
    } else {
        problem.evaporation_weighed = true; // relative heats know no steam
    }
    findStretches(study, course);
    problem.reading = study.prepared.view();
    problem.curves = &study.curves;
    const bool balanced = !study.rises.empty() && study.heat_withdrawn.empty();
    if (study.surroundings_known && (balanced || run.batch.blank)) {
        balanceHeat(study);
    }
    return study;
}

std::optional<VesselEvidence> evidenceOf(const RunStudy& study) {
    if (!study.balance || !study.balance->fit || !study.inputs.masses_known) {
        return std::nullopt;
    }
    const heat::LossFit& fit = *study.balance->fit;
    const heat::BalanceProblem& problem = study.problem;
    return VesselEvidence{.run = study.run->name,
                          .vessel = study.run->batch.vessel.name,
                          .blank = study.run->batch.blank,
                          .loss = fit.loss,
                          .log_u = std::sqrt(fit.covariance[0]),
                          .exponent_u = std::sqrt(fit.covariance[4]),
                          .heat_capacity_log_u = std::hypot(problem.charge_j_per_k.u, problem.vessel_j_per_k.u) /
                                                 problem.pot.heat_capacity_j_per_k};
}

namespace {

void rebind(RunStudy& study) {
    // A study may have been moved since its problem was made.
    study.problem.reading = study.prepared.view();
    study.problem.curves = &study.curves;
}

std::string joined(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i) {
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    }
    return text;
}

} // namespace

void learnFromBlanks(RunStudy& study, const CommonLoss& blanks) {
    if (!study.balance || !study.inputs.masses_known || study.inputs.stated_loss) {
        return;
    }
    rebind(study);
    heat::BalanceProblem& problem = study.problem;
    problem.known_loss = blanks.known;
    const double capacity = problem.pot.heat_capacity_j_per_k;
    const double capacity_u = std::hypot(problem.charge_j_per_k.u, problem.vessel_j_per_k.u);
    if (const auto& fit = study.balance->fit; fit && capacity_u > 0.0) {
        // The run's cooling gives coefficient / heat capacity, the blank the coefficient itself: together they say how
        // far the stated heat capacity is off. A normal update of its logarithm.
        const double log_u = capacity_u / capacity;
        const double cooling_variance = fit->covariance[0] + blanks.known.log_u * blanks.known.log_u;
        const double away = std::log(blanks.known.loss.coefficient_w_per_k / fit->loss.coefficient_w_per_k);
        const double gain = log_u * log_u / (log_u * log_u + cooling_variance);
        const double shift = gain * away;
        if (std::abs(away) > disagreement_sigma * std::sqrt(log_u * log_u + cooling_variance)) {
            study.warnings.push_back(fmt::format(
                "the loss coefficient from this run's cooling ({:.3f} W/K) and the one from {} ({:.3f} W/K) disagree: "
                "check masses, specific heat and whether the pot stood as it did then",
                fit->loss.coefficient_w_per_k, joined(blanks.from), blanks.known.loss.coefficient_w_per_k));
        }
        const double learnt = capacity * std::exp(shift);
        problem.charge_j_per_k.value += learnt - capacity;
        problem.charge_j_per_k.u = learnt * log_u * std::sqrt(1.0 - gain);
        problem.vessel_j_per_k.u = 0.0;
        problem.pot.heat_capacity_j_per_k = learnt;
    }
    balanceHeat(study);
    study.loss_from = "blank " + joined(blanks.from);
}

void learnFromRuns(RunStudy& study, const CommonLoss& runs) {
    if (!study.balance || !study.inputs.masses_known || study.inputs.stated_loss) {
        return;
    }
    rebind(study);
    if (const auto& fit = study.balance->fit) {
        const double away = std::log(runs.known.loss.coefficient_w_per_k / fit->loss.coefficient_w_per_k);
        if (std::abs(away) > disagreement_sigma * std::hypot(std::sqrt(fit->covariance[0]), runs.known.log_u) + 0.02) {
            study.warnings.push_back(fmt::format("the loss coefficient from this run's cooling ({:.3f} W/K) and the "
                                                 "one from {} ({:.3f} W/K) disagree: did "
                                                 "the pot stand as in those runs, and are the masses right?",
                                                 fit->loss.coefficient_w_per_k, joined(runs.from),
                                                 runs.known.loss.coefficient_w_per_k));
        }
    }
    study.problem.known_loss = runs.known;
    study.problem.known_loss->moves_with_capacity = true;
    balanceHeat(study);
    study.loss_from = (study.balance->fit ? "own cooling and runs " : "runs ") + joined(runs.from) + " of the vessel";
}

} // namespace potwatch::findings
