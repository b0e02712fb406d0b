// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/figure.h"

#include "analysis/chemistry/piece_density.h"
#include "analysis/compare/figure_value.h"
#include "analysis/heat/dose.h"

#include <algorithm>
#include <array>

namespace potwatch::compare {

namespace {

using Run = const ComparedRun&;

constexpr const char* no_dose = "no dose is stated: fill in [dose] of the batch file";
constexpr const char* not_stated = "not stated in the batch file";
constexpr const char* not_found = "not found in the trace";
constexpr const char* no_heat = "no heat balance: state masses and vessel in the batch file";
constexpr const char* no_degree = "no heat of reaction is stated to compare with";
constexpr double s_per_min = 60.0;

struct Dosed {
    std::optional<heat::DoseCourse> course;
    std::string why;
};

Dosed dosedIn(Run run) {
    if (!run.batch.dose) {
        return {.course = std::nullopt, .why = no_dose};
    }
    heat::DoseAsGiven given = heat::doseAsGiven(*run.batch.dose, run.batch.events, run.findings.samples.span_s);
    return {.course = std::move(given.course), .why = std::move(given.missing)};
}

FigureValue doseRate(Run run) {
    const Dosed dosed = dosedIn(run);
    if (!dosed.course) {
        return missing(dosed.why);
    }
    const double over_s = dosed.course->endS() - dosed.course->startS();
    if (!(over_s > 0.0)) {
        return missing("all of the dose went in at once: it has no rate");
    }
    return stated(dosed.course->totalG() / over_s * s_per_min, no_dose);
}

FigureValue doseTotal(Run run) {
    const Dosed dosed = dosedIn(run);
    return dosed.course ? stated(dosed.course->totalG(), no_dose) : missing(dosed.why);
}

FigureValue doseOver(Run run) {
    const Dosed dosed = dosedIn(run);
    return dosed.course ? stated(dosed.course->endS() - dosed.course->startS(), no_dose) : missing(dosed.why);
}

FigureValue doseStart(Run run) {
    const Dosed dosed = dosedIn(run);
    return dosed.course ? stated(dosed.course->startS(), no_dose) : missing(dosed.why);
}

FigureValue catalyst(Run run) {
    const Dosed dosed = dosedIn(run);
    if (!dosed.course) {
        return missing(dosed.why);
    }
    if (run.batch.dose->role != DoseRole::catalyst) {
        return missing("what was dosed is no catalyst");
    }
    if (!(run.batch.charge.resin_g.value_or(0.0) > 0.0)) {
        return missing("the resin's mass is not stated: fill in [charge] resin_g");
    }
    return stated(dosed.course->totalG() / *run.batch.charge.resin_g, no_dose);
}

FigureValue input(Run run, std::string_view name, const std::optional<double>& otherwise = std::nullopt) {
    for (const Input& one : run.findings.inputs) {
        if (one.name == name) {
            return {.estimate = normalEstimate(one.value, one.u.value_or(0.0)), .text = {}, .missing = {}};
        }
    }
    return stated(otherwise, not_stated);
}

FigureValue surroundings(Run run) {
    const FigureValue measured = input(run, "surroundings (at the start)");
    return measured.estimate ? measured : input(run, "surroundings", run.batch.surroundings.temperature_c);
}

// A pot that boiled would have become hotter: its peak is what the boiling left of it.
bool boiled(Run run) {
    return run.findings.landmarks.boil_plateau.has_value();
}

FigureValue cappedByBoiling(Run run, const std::optional<Estimate>& estimate) {
    FigureValue value = found(estimate, "no peak was found");
    value.at_least = value.estimate && boiled(run);
    return value;
}

std::optional<Estimate> startOf(Run run) {
    return run.start_c;
}

// Span between two figures of the run, where both are there.
FigureValue between(const std::optional<Estimate>& earlier, const std::optional<Estimate>& later, const char* why) {
    return earlier && later ? found(difference(*later, *earlier), why) : missing(why);
}

template<class Mark>
std::optional<Estimate> timeOf(const std::optional<Mark>& mark) {
    return mark ? std::optional(mark->time_s) : std::nullopt;
}
template<class Mark>
std::optional<Estimate> temperatureOf(const std::optional<Mark>& mark) {
    return mark ? std::optional(mark->temperature_c) : std::nullopt;
}

std::optional<Estimate> doseStartOf(Run run) {
    const Dosed dosed = dosedIn(run);
    return dosed.course ? std::optional(exact(dosed.course->startS())) : std::nullopt;
}

FigureValue lowerBound(Run run, const std::optional<Estimate>& estimate) {
    FigureValue value = found(estimate, no_heat);
    value.at_least = value.estimate && run.findings.heat.lower_bound;
    return value;
}

FigureValue density(Run run) {
    const Outcome& outcome = run.batch.outcome;
    if (!outcome.density_g_per_ml && outcome.weighed_dry_g && outcome.weighed_in_water_g) {
        const auto weighed =
            chemistry::pieceDensityGPerMl({.dry_g = *outcome.weighed_dry_g, .in_water_g = *outcome.weighed_in_water_g});
        return weighed ? stated(*weighed, not_stated) : missing(weighed.error().what);
    }
    return stated(outcome.density_g_per_ml, not_stated);
}

std::string foamWord(Foam foam) {
    switch (foam) {
    case Foam::none:
        return "none";
    case Foam::edge:
        return "edge";
    case Foam::through:
        return "through";
    }
    return {};
}

std::string solventWord(SolventTest test) {
    switch (test) {
    case SolventTest::soluble:
        return "soluble";
    case SolventTest::swells:
        return "swells";
    case SolventTest::insoluble:
        return "insoluble";
    }
    return {};
}

constexpr auto dosing = FigureGroup::dosing;
constexpr auto pot = FigureGroup::pot;
constexpr auto landmarks = FigureGroup::landmarks;
constexpr auto heat_group = FigureGroup::heat;
constexpr auto cure = FigureGroup::cure;
constexpr auto outcome = FigureGroup::outcome;

// clang-format off
const std::array catalogue{
    Figure{"dose_rate_g_per_min", "dosing rate", "g/min", dosing, false, true, doseRate},
    Figure{"dose_total_g", "dosed", "g", dosing, false, false, doseTotal},
    Figure{"catalyst_g_per_g", "catalyst per gram of resin", "g/g", dosing, false, false, catalyst},
    Figure{"dose_start_s", "dose start", "s", dosing, false, false, doseStart},
    Figure{"dose_duration_s", "dosed over", "s", dosing, false, false, doseOver},
    Figure{"dose_temperature_c", "temperature of the dose", "°C", dosing, false, false,
           [](Run r) { return r.batch.dose ? stated(r.batch.dose->temperature_c, not_stated) : missing(no_dose); }},
    Figure{"dose_substance", "dosed substance", "", dosing, true, false,
           [](Run r) { return r.batch.dose ? words(r.batch.dose->substance, not_stated) : missing(no_dose); }},

    Figure{"resin_g", "resin", "g", pot, false, false, [](Run r) { return stated(r.batch.charge.resin_g, not_stated); }},
    Figure{"start_temperature_c", "start temperature", "°C", pot, false, false, [](Run r) { return found(startOf(r), not_found); }},
    Figure{"surroundings_c", "surroundings", "°C", pot, false, false, surroundings},
    Figure{"pressure_kpa", "air pressure", "kPa", pot, false, false, [](Run r) { return stated(r.batch.surroundings.pressure_kpa, not_stated); }},
    Figure{"boiling_c", "boiling point", "°C", pot, false, false, [](Run r) { return input(r, "boiling point", r.batch.charge.boiling_c); }},
    Figure{"vessel", "vessel", "", pot, true, false, [](Run r) { return words(r.batch.vessel.name, not_stated); }},
    Figure{"vessel_heat_capacity_j_per_k", "heat capacity of the vessel", "J/K", pot, false, false,
           [](Run r) { return stated(r.batch.vessel.heat_capacity_j_per_k, not_stated); }},
    Figure{"specific_heat_j_per_g_k", "specific heat of the resin", "J/(g K)", pot, false, false,
           [](Run r) { return input(r, "specific heat of the resin", r.batch.charge.specific_heat_j_per_g_k); }},
    Figure{"heater_w", "heater", "W", pot, false, false, [](Run r) { return stated(r.batch.heater.power_w, not_stated); }},

    Figure{"first_deviation_time_s", "first deviation", "s", landmarks, false, false, [](Run r) { return found(timeOf(r.findings.landmarks.first_deviation), not_found); }},
    Figure{"first_deviation_temperature_c", "temperature of first deviation", "°C", landmarks, false, false, [](Run r) { return found(temperatureOf(r.findings.landmarks.first_deviation), not_found); }},
    Figure{"onset_time_s", "onset", "s", landmarks, false, true, [](Run r) { return found(timeOf(r.findings.landmarks.onset), not_found); }},
    Figure{"onset_temperature_c", "onset temperature", "°C", landmarks, false, false, [](Run r) { return found(temperatureOf(r.findings.landmarks.onset), not_found); }},
    Figure{"dose_to_onset_s", "from dose start to onset", "s", landmarks, false, false, [](Run r) { return between(doseStartOf(r), timeOf(r.findings.landmarks.onset), not_found); }},
    Figure{"steepest_time_s", "steepest point", "s", landmarks, false, false, [](Run r) { return found(timeOf(r.findings.landmarks.steepest), not_found); }},
    Figure{"steepest_temperature_c", "temperature of the steepest point", "°C", landmarks, false, false, [](Run r) { return found(temperatureOf(r.findings.landmarks.steepest), not_found); }},
    Figure{"steepest_rate_k_per_min", "steepest rate", "K/min", landmarks, false, true,
           [](Run r) { const auto& mark = r.findings.landmarks.steepest; return found(mark ? std::optional(mark->rate_k_per_min) : std::nullopt, not_found); }},
    Figure{"peak_time_s", "time of the peak", "s", landmarks, false, true, [](Run r) { return found(timeOf(r.findings.landmarks.peak), not_found); }},
    Figure{"peak_temperature_c", "peak temperature", "°C", landmarks, false, true, [](Run r) { return cappedByBoiling(r, temperatureOf(r.findings.landmarks.peak)); }},
    Figure{"peak_reading_c", "highest reading", "°C", landmarks, false, false,
           [](Run r) { const auto& peak = r.findings.landmarks.peak; return cappedByBoiling(r, peak && peak->reading_c ? std::optional(exact(*peak->reading_c)) : std::nullopt); }},
    Figure{"rise_k", "rise from start to peak", "K", landmarks, false, false,
           [](Run r) { FigureValue v = between(startOf(r), temperatureOf(r.findings.landmarks.peak), not_found); v.at_least = v.estimate && boiled(r); return v; }},
    Figure{"dose_to_peak_s", "from dose start to peak", "s", landmarks, false, false, [](Run r) { return between(doseStartOf(r), timeOf(r.findings.landmarks.peak), not_found); }},
    Figure{"onset_to_peak_s", "from onset to peak", "s", landmarks, false, false, [](Run r) { return between(timeOf(r.findings.landmarks.onset), timeOf(r.findings.landmarks.peak), not_found); }},
    Figure{"onset_to_peak_k", "rise from onset to peak", "K", landmarks, false, false,
           [](Run r) { FigureValue v = between(temperatureOf(r.findings.landmarks.onset), temperatureOf(r.findings.landmarks.peak), not_found); v.at_least = v.estimate && boiled(r); return v; }},
    Figure{"boil_start_s", "start of boiling", "s", landmarks, false, false,
           [](Run r) { const auto& boil = r.findings.landmarks.boil_plateau; return stated(boil ? std::optional(boil->start_s) : std::nullopt, "the pot did not boil"); }},
    Figure{"boil_duration_s", "boiled for", "s", landmarks, false, true,
           [](Run r) { const auto& boil = r.findings.landmarks.boil_plateau; return stated(boil ? std::optional(boil->end_s - boil->start_s) : std::nullopt, "the pot did not boil"); }},
    Figure{"boil_temperature_c", "boiled at", "°C", landmarks, false, false,
           [](Run r) { const auto& boil = r.findings.landmarks.boil_plateau; return stated(boil ? std::optional(boil->temperature_c) : std::nullopt, "the pot did not boil"); }},
    Figure{"end_time_s", "end", "s", landmarks, false, false, [](Run r) { return found(timeOf(r.findings.landmarks.end), not_found); }},
    Figure{"end_temperature_c", "temperature at the end", "°C", landmarks, false, false, [](Run r) { return found(temperatureOf(r.findings.landmarks.end), not_found); }},

    Figure{"heat_released_j", "heat released", "J", heat_group, false, false, [](Run r) { return lowerBound(r, r.findings.heat.released_j); }},
    Figure{"heat_per_gram_j", "heat per gram of resin", "J/g", heat_group, false, true, [](Run r) { return lowerBound(r, r.findings.heat.per_gram_j); }},
    Figure{"heat_capacity_j_per_k", "heat capacity", "J/K", heat_group, false, false, [](Run r) { return found(r.findings.heat.heat_capacity_j_per_k, no_heat); }},
    Figure{"loss_coefficient_w_per_k", "loss coefficient", "W/K", heat_group, false, true, [](Run r) { return found(r.findings.heat.loss_coefficient_w_per_k, no_heat); }},
    Figure{"loss_exponent", "loss exponent", "", heat_group, false, false, [](Run r) { return found(r.findings.heat.loss_exponent, no_heat); }},
    Figure{"evaporated_g", "water boiled off", "g", heat_group, false, false, [](Run r) { return found(r.findings.heat.evaporated_g, "the pot did not boil"); }},
    Figure{"weighed_loss_g", "weighed loss", "g", heat_group, false, false, [](Run r) { return stated(r.batch.weighed_loss_g, not_stated); }},
    Figure{"adiabatic_rise_k", "adiabatic rise", "K", heat_group, false, true, [](Run r) { return found(r.findings.heat.adiabatic_rise_k, no_heat); }},
    Figure{"thermal_inertia", "thermal inertia", "", heat_group, false, false, [](Run r) { return found(r.findings.heat.thermal_inertia, no_heat); }},
    Figure{"mtsr_c", "highest temperature of the synthesis", "°C", heat_group, false, false,
           [](Run r) { const auto& mtsr = r.findings.heat.mtsr; return found(mtsr ? std::optional(mtsr->temperature_c) : std::nullopt, no_heat); }},

    Figure{"final_degree", "final degree of cure", "", cure, false, true, [](Run r) { return found(r.findings.cure.final_degree, no_degree); }},
    Figure{"heat_of_reaction_j_per_g", "reference heat", "J/g", cure, false, false, [](Run r) { return stated(r.findings.cure.reference_j_per_g, no_degree); }},
    Figure{"gel_time_s", "gel time", "s", cure, false, false, [](Run r) { return found(r.findings.cure.gel_time_s, "no gel degree is known"); }},
    Figure{"stage", "stage", "", cure, true, false, [](Run r) { return words(r.findings.cure.stage, "unknown"); }},

    Figure{"density_g_per_ml", "density", "g/mL", outcome, false, true, density},
    Figure{"void_percent", "voids", "%", outcome, false, true, [](Run r) { return stated(r.batch.outcome.void_percent, not_stated); }},
    Figure{"foam", "foam", "", outcome, true, true, [](Run r) { const auto& foam = r.batch.outcome.foam; return foam ? words(foamWord(*foam), not_stated) : missing(not_stated); }},
    Figure{"foam_level", "foam (0 none, 1 edge, 2 through)", "", outcome, false, false,
           [](Run r) { const auto& foam = r.batch.outcome.foam; return stated(foam ? std::optional(static_cast<double>(*foam)) : std::nullopt, not_stated); }},
    Figure{"solvent_test", "solvent test", "", outcome, true, false, [](Run r) { const auto& test = r.batch.outcome.solvent_test; return test ? words(solventWord(*test), not_stated) : missing(not_stated); }},
    Figure{"hardness", "hardness", "", outcome, true, false, [](Run r) { return words(r.batch.outcome.hardness, not_stated); }},
};
// clang-format on

} // namespace

std::span<const Figure> figures() {
    return catalogue;
}

const Figure* findFigure(std::string_view key) {
    const auto one =
        std::find_if(catalogue.begin(), catalogue.end(), [&](const Figure& figure) { return figure.key == key; });
    return one != catalogue.end() ? &*one : nullptr;
}

std::string_view titleOf(FigureGroup group) {
    switch (group) {
    case FigureGroup::dosing:
        return "Dosing";
    case FigureGroup::pot:
        return "Pot";
    case FigureGroup::landmarks:
        return "Times and temperatures";
    case FigureGroup::heat:
        return "Heat";
    case FigureGroup::cure:
        return "Cure";
    case FigureGroup::outcome:
        return "Outcome";
    }
    return "";
}

std::optional<double> boilingPointOf(const ComparedRun& run) {
    const FigureValue value = input(run, "boiling point", run.batch.charge.boiling_c);
    return value.estimate ? std::optional(value.estimate->value) : std::nullopt;
}

} // namespace potwatch::compare
