// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/pot_model.h"
#include "analysis/forecast/sensor_model.h"
#include "analysis/values/batch.h"
#include "analysis/values/fault.h"

#include <cstdint>
#include <string>
#include <vector>

namespace potwatch::session {

// The demo's own scenario: cast rod stock for fountain-pen barrels, acid-set, seven dosing rates, and hot water in the
// same vessel. All numbers are invented; they say nothing of a real resin.
struct SampleRun {
    std::string file; // without an ending: "rod-01"
    forecast::PotModel pot;
    double duration_s = 0.0;
    std::uint64_t seed = 0; // of the probes' noise
    Batch batch;            // what the person knows before the run
};

inline constexpr double sample_interval_s = 0.5;

// The probes of every run.
inline constexpr forecast::SensorModel sample_pot_probe{.lag_s = 5.5, .noise_k = 0.08, .step_k = 0.1};
inline constexpr forecast::SensorModel sample_air_probe{.lag_s = 0.0, .noise_k = 0.06, .step_k = 0.1};

// How the cast rods come out: a stated rule, not a law of foaming. Void [%] = void_without_boiling_percent +
// void_percent_per_g x water boiled off [g]; foam at the edge up to edge_foam_percent, through and through above it.
inline constexpr double void_without_boiling_percent = 0.4;
inline constexpr double void_percent_per_g = 9.0;
inline constexpr double edge_foam_percent = 8.0;
inline constexpr double sound_density_g_per_ml = 1.27;
inline constexpr double sample_gel_degree = 0.55;

// rod-01 ... rod-07 from the slowest dose to the fastest, then the blank.
[[nodiscard]] std::vector<SampleRun> sampleRuns();

// A run as it was recorded: the CSV's text, and the batch with what was seen (dose end, gel, foam, weight, voids).
struct RecordedSample {
    std::string csv; // time_s,pot_c,air_c
    Batch batch;
};

// Errors: those of forecast::simulatePot.
[[nodiscard]] Result<RecordedSample> record(const SampleRun& run);

} // namespace potwatch::session
