// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/sample_scenario.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <random>

namespace potwatch::session {

namespace {

struct DosingRate {
    double g_per_min;
    double duration_s; // recorded until the pot is cold
};

constexpr std::array<DosingRate, 7> dosing_rates{
    {{0.08, 7200.0}, {0.12, 6300.0}, {0.18, 5400.0}, {0.28, 4500.0}, {0.50, 4500.0}, {1.00, 3600.0}, {3.00, 3600.0}}};

constexpr double air_c = 20.5;
constexpr double air_kpa = 99.2;
constexpr double dose_total_g = 6.0;
constexpr double dose_start_s = 180.0;
constexpr const char* vessel_name = "beaker 250";

forecast::PotModel vessel() {
    forecast::PotModel pot;
    pot.vessel_j_per_k = 34.0;
    pot.loss_coefficient_w_per_k = 0.92;
    pot.loss_exponent = 0.1;
    pot.surroundings_c = air_c;
    pot.start_c = air_c;
    return pot;
}

forecast::PotModel rodPot(double rate_g_per_min) {
    forecast::PotModel pot = vessel();
    pot.resin_g = 115.0;
    pot.specific_heat_j_per_g_k = 1.85;
    pot.law = {.a1_per_s = 3.0e7,
               .e1_j_per_mol = 61500.0,
               .a2_per_s = 2.1e6,
               .e2_j_per_mol = 49500.0,
               .m = 0.62,
               .n = 1.35,
               .catalyst_order = 1.0,
               .catalyst_reference_g_per_g = 0.05};
    pot.heat_of_reaction_j_per_g = 246.0;
    pot.doses = {{.start_s = dose_start_s, .over_s = dose_total_g / rate_g_per_min * 60.0, .amount_g = dose_total_g}};
    pot.dose_specific_heat_j_per_g_k = 3.2;
    pot.dose_c = air_c;
    pot.boiling_c = 100.2;
    pot.boil_g_per_s_k = 0.06;
    pot.water_g = 24.0;
    return pot;
}

std::vector<double> timesUpTo(double end_s) {
    std::vector<double> times_s;
    const auto count = static_cast<std::size_t>(end_s / sample_interval_s) + 1;
    for (std::size_t i = 0; i < count; ++i) {
        times_s.push_back(static_cast<double>(i) * sample_interval_s);
    }
    return times_s;
}

// As a balance shows it.
// To so many parts of one: by division, so that the nearest double to the decimal comes out and prints as it.
double roundedTo(double value, double parts) {
    return std::round(value * parts) / parts;
}

// Ten in the morning, a day apart, one hour ahead of UTC.
WallTime morning(std::size_t day) {
    constexpr std::int64_t first_utc_us = 1'772'442'000'000'000; // 2026-03-02T09:00:00Z
    constexpr std::int64_t day_us = 86'400'000'000;
    return {.utc_us = first_utc_us + static_cast<std::int64_t>(day) * day_us, .offset_s = 3600};
}

Batch statedBefore(std::size_t number, const forecast::PotModel& pot, double rate_g_per_min) {
    Batch batch;
    batch.name = fmt::format("rod {:02}", number);
    batch.started = morning(number);
    batch.notes = "Invented data: cast rod stock for fountain-pen barrels, acid-set.";
    batch.based_on = number == 1 ? "" : fmt::format("rod {:02}", number - 1);
    batch.charge = {
        .resin_g = pot.resin_g, .specific_heat_j_per_g_k = pot.specific_heat_j_per_g_k, .boiling_c = pot.boiling_c};
    batch.vessel = {.name = vessel_name, .heat_capacity_j_per_k = pot.vessel_j_per_k};
    batch.surroundings = {.temperature_c = air_c, .pressure_kpa = air_kpa};
    batch.dose = Dose{.substance = "acid hardener",
                      .total_g = dose_total_g,
                      .rate_g_per_min = rate_g_per_min,
                      .start_s = dose_start_s,
                      .specific_heat_j_per_g_k = pot.dose_specific_heat_j_per_g_k,
                      .temperature_c = pot.dose_c};
    batch.cure = {.heat_of_reaction_j_per_g = pot.heat_of_reaction_j_per_g, .gel_degree = sample_gel_degree};
    batch.sensor_lag_s = sample_pot_probe.lag_s;
    batch.uncertainty = {.specific_heat_rel = 0.03,
                         .vessel_j_per_k = 2.0,
                         .surroundings_k = 0.3,
                         .lag_s = 0.7,
                         .heat_of_reaction_rel = 0.04,
                         .thermocouple_k = 0.3};
    batch.pot_channel = "pot_c";
    return batch;
}

SampleRun blank() {
    SampleRun run{.file = "blank-01", .pot = vessel(), .duration_s = 3600.0, .seed = 108};
    run.pot.resin_g = 120.0;
    run.pot.specific_heat_j_per_g_k = 4.186;
    run.pot.start_c = 88.0;
    run.batch.name = "blank 01";
    run.batch.started = morning(0);
    run.batch.notes = "Invented data: hot water in the beaker of the rods, left to cool.";
    run.batch.blank = true;
    run.batch.charge.water_g = run.pot.resin_g;
    run.batch.vessel = {.name = vessel_name, .heat_capacity_j_per_k = run.pot.vessel_j_per_k};
    run.batch.surroundings = {.temperature_c = air_c, .pressure_kpa = air_kpa};
    run.batch.sensor_lag_s = sample_pot_probe.lag_s;
    run.batch.uncertainty = {.vessel_j_per_k = 2.0, .surroundings_k = 0.3, .lag_s = 0.7, .thermocouple_k = 0.3};
    run.batch.pot_channel = "pot_c";
    return run;
}

void note(Batch& batch, double time_s, const char* kind) {
    batch.events.push_back({.time_s = std::round(time_s), .kind = kind, .text = ""});
}

// What the person sees and weighs: by the rule in the header.
void observe(const SampleRun& run, const std::vector<double>& times_s, const std::vector<forecast::PotState>& states,
             Batch& batch) {
    const auto timeOf = [&](auto reached) {
        const auto found = std::find_if(states.begin(), states.end(), reached);
        return found == states.end() ? -1.0 : times_s[static_cast<std::size_t>(found - states.begin())];
    };
    const forecast::DosePortion& dose = run.pot.doses.front();
    note(batch, dose.start_s, "dose start");
    note(batch, dose.start_s + dose.over_s, "dose end");
    const double gel_s = timeOf([](const forecast::PotState& state) { return state.degree >= sample_gel_degree; });
    if (gel_s >= 0.0) {
        note(batch, gel_s, "gel");
    }
    constexpr double seen_boiling_g = 0.05;
    const double foam_s = timeOf([](const forecast::PotState& state) { return state.evaporated_g > seen_boiling_g; });
    if (foam_s >= 0.0) {
        note(batch, foam_s, "foam");
    }
    std::stable_sort(batch.events.begin(), batch.events.end(),
                     [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    const double evaporated_g = states.back().evaporated_g;
    const double void_percent = void_without_boiling_percent + void_percent_per_g * evaporated_g;
    batch.weighed_loss_g = roundedTo(evaporated_g, 100.0);
    batch.outcome.void_percent = roundedTo(void_percent, 10.0);
    batch.outcome.density_g_per_ml = roundedTo(sound_density_g_per_ml * (1.0 - void_percent / 100.0), 1000.0);
    batch.outcome.foam = foam_s < 0.0 ? Foam::none : void_percent < edge_foam_percent ? Foam::edge : Foam::through;
    batch.outcome.solvent_test = SolventTest::insoluble;
}

} // namespace

std::vector<SampleRun> sampleRuns() {
    std::vector<SampleRun> runs;
    for (std::size_t i = 0; i < dosing_rates.size(); ++i) {
        const std::size_t number = i + 1;
        SampleRun run{.file = fmt::format("rod-{:02}", number),
                      .pot = rodPot(dosing_rates[i].g_per_min),
                      .duration_s = dosing_rates[i].duration_s,
                      .seed = 100 + number};
        run.batch = statedBefore(number, run.pot, dosing_rates[i].g_per_min);
        runs.push_back(std::move(run));
    }
    runs.push_back(blank());
    return runs;
}

Result<RecordedSample> record(const SampleRun& run) {
    const std::vector<double> times_s = timesUpTo(run.duration_s);
    const Result<std::vector<forecast::PotState>> states = forecast::simulatePot(run.pot, times_s);
    if (!states) {
        return tl::unexpected(states.error());
    }
    std::vector<double> pot_c;
    for (const forecast::PotState& state : *states) {
        pot_c.push_back(state.temperature_c);
    }
    const std::vector<double> around_c(times_s.size(), run.pot.surroundings_c);
    std::mt19937_64 random(run.seed);
    const std::vector<double> pot_reading_c = forecast::readings(times_s, pot_c, sample_pot_probe, random);
    const std::vector<double> air_reading_c = forecast::readings(times_s, around_c, sample_air_probe, random);
    RecordedSample sample{.csv = "time_s,pot_c,air_c\n", .batch = run.batch};
    for (std::size_t i = 0; i < times_s.size(); ++i) {
        fmt::format_to(std::back_inserter(sample.csv), "{:.1f},{:.1f},{:.1f}\n", times_s[i], pot_reading_c[i],
                       air_reading_c[i]);
    }
    if (!run.batch.blank) {
        observe(run, times_s, *states, sample.batch);
    }
    return sample;
}

} // namespace potwatch::session
