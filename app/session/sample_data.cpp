// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/sample_data.h"

#include "app/session/sample_scenario.h"
#include "app/session/whole_file.h"
#include "io/batch/batch_file.h"

#include <fmt/format.h>

#include <filesystem>
#include <iterator>
#include <optional>
#include <span>
#include <string_view>
#include <system_error>

namespace potwatch::session {

namespace {

std::string_view wordFor(Foam foam) {
    switch (foam) {
    case Foam::none:
        return "none";
    case Foam::edge:
        return "at the edge";
    case Foam::through:
        return "through and through";
    }
    return "";
}

std::string readme(std::span<const SampleRun> runs, std::span<const RecordedSample> samples) {
    const forecast::PotModel& pot = runs.front().pot;
    const forecast::CureLaw& law = pot.law;
    std::string text = fmt::format(
        R"(# Sample data: rod stock for fountain-pen barrels

**Invented data.** No pot stood behind these files: they were computed by `potwatch demo-data` from the model below, with
numbers chosen to look like a bench. They say nothing of a real resin, and are no guide to dosing one.

The scenario: an acid-set resin is stirred in a beaker while the hardener is dosed in at a steady rate, and then cast as
rods. Seven runs change nothing but the dosing rate, from one that stays cool to one that boils; a blank (hot water in the
same beaker, left to cool) shows what the beaker loses. `NAME.csv` is what a logger would have written every {} s, beside it
`NAME.batch.toml` is what the person at the bench knows.

| run | dose, g/min | weighed loss, g | voids, % | foam |
|---|---|---|---|---|
)",
        sample_interval_s);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const Batch& batch = samples[i].batch;
        if (batch.dose) {
            fmt::format_to(std::back_inserter(text), "| {} | {:.2f} | {:.2f} | {:.1f} | {} |\n", runs[i].file,
                           batch.dose->rate_g_per_min.value_or(0.0), batch.weighed_loss_g.value_or(0.0),
                           batch.outcome.void_percent.value_or(0.0), wordFor(batch.outcome.foam.value_or(Foam::none)));
        }
    }
    fmt::format_to(std::back_inserter(text), R"(
## The model

One temperature T for the beaker and what is in it; degree of cure a; c = grams of hardener per gram of resin.

    C dT/dt = m H da/dt - UA (T - Te) (|T - Te| / 20 K)^x + dose c_d (T_d - T) - boil L(T)
    C       = m c_p + C_vessel + dosed c_d - boiled c_w
    da/dt   = (c / c_ref)^p (k1 + k2 a^m) (1 - a)^n,   k = A exp(-E / (R T))
    boil    = k_b (T - T_b) above T_b; L is the heat of evaporation of water

| what | value |
|---|---|
| resin m, its specific heat c_p, its heat of reaction H | {} g, {} J/(g K), {} J/g |
| vessel C_vessel; loss UA and its exponent x; surroundings and start Te | {} J/K; {} W/K, {}; {} °C |
| hardener: total, specific heat c_d, temperature T_d, start | {} g, {} J/(g K), {} °C, {} s |
| A1, E1; A2, E2 | {:g} 1/s, {} J/mol; {:g} 1/s, {} J/mol |
| m, n, p, c_ref | {}, {}, {}, {} |
| boiling: T_b, k_b | {} °C, {} g/(s K) |
| blank: water, its specific heat, start | {} g, {} J/(g K), {} °C |
| probe in the pot: lag, noise (standard deviation), step | {} s, {} K, {} K |
| probe in the air: noise, step | {} K, {} K |

Events and outcomes follow from the model: the gel is marked when a passes {}, foam when the first 0.05 g of water have
boiled off, the weighed loss is the water that boiled off, voids are {} % and {} % more for each gram boiled, and the
density is {} g/ml less the voids. Foam is at the edge under {} % voids, above that through and through. That is a stated
rule for the sake of a story, not a law of foaming.
)",
                   pot.resin_g, pot.specific_heat_j_per_g_k, pot.heat_of_reaction_j_per_g, pot.vessel_j_per_k,
                   pot.loss_coefficient_w_per_k, pot.loss_exponent, pot.surroundings_c, pot.doses.front().amount_g,
                   pot.dose_specific_heat_j_per_g_k, pot.dose_c, pot.doses.front().start_s, law.a1_per_s,
                   law.e1_j_per_mol, law.a2_per_s, law.e2_j_per_mol, law.m, law.n, law.catalyst_order,
                   law.catalyst_reference_g_per_g, pot.boiling_c, pot.boil_g_per_s_k, runs.back().pot.resin_g,
                   runs.back().pot.specific_heat_j_per_g_k, runs.back().pot.start_c, sample_pot_probe.lag_s,
                   sample_pot_probe.noise_k, sample_pot_probe.step_k, sample_air_probe.noise_k, sample_air_probe.step_k,
                   sample_gel_degree, void_without_boiling_percent, void_percent_per_g, sound_density_g_per_ml,
                   edge_foam_percent);
    return text;
}

} // namespace

Result<std::vector<std::string>> writeSampleData(const std::string& folder) {
    const std::filesystem::path place(folder);
    std::error_code error;
    std::filesystem::create_directories(place, error);
    if (error) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "cannot be made: " + error.message(),
                                    .where = {.file = folder},
                                    .remedy = "name a folder where you may write"});
    }
    const std::vector<SampleRun> runs = sampleRuns();
    std::vector<RecordedSample> samples;
    for (const SampleRun& run : runs) {
        Result<RecordedSample> sample = record(run);
        if (!sample) {
            return tl::unexpected(sample.error());
        }
        samples.push_back(std::move(*sample));
    }
    std::vector<std::string> written;
    std::optional<Fault> fault;
    const auto write = [&](const std::string& name, std::string_view text) {
        const std::string path = (place / name).string();
        const Result<void> done = writeWholeFile(path, text);
        if (done) {
            written.push_back(path);
        } else if (!fault) {
            fault = done.error();
        }
    };
    write("README.md", readme(runs, samples));
    for (std::size_t i = 0; i < runs.size() && !fault; ++i) {
        write(runs[i].file + ".csv", samples[i].csv);
        write(runs[i].file + ".batch.toml", batch::write(samples[i].batch));
    }
    if (fault) {
        return tl::unexpected(*fault);
    }
    return written;
}

} // namespace potwatch::session
