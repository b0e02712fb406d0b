// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/mould_forecast.h"
#include "analysis/values/fault.h"
#include "analysis/values/kinetics.h"
#include "io/csv/import.h"

#include <tl/expected.hpp>

#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::forecast {

// A mould's forecast as a person asks for it: files and words.
struct MouldJob {
    std::string kinetics_file;
    std::string mould_file;
    std::string programme;         // "25>80@2/30 80>120@1/60"
    std::string oven_file;         // a recorded trace, instead of a programme
    std::string oven_column;       // empty: the first temperature of it
    csv::ImportOptions import;     // of the oven's trace
    std::string other_programme;   // the air on the other side of a slab
    std::optional<double> until_s; // otherwise the programme's, or the trace's, own duration
    double target_degree = 0.95;
};

// Its answer, with what the person should know of it.
struct MouldAnswer {
    MouldForecast forecast;
    Mould mould;
    FoamRisk foam;
    std::string programme; // as it was understood; empty where the oven was recorded
    double target_degree = 0.0;
    std::optional<double> target_s; // when the least cured place came to it
    std::vector<std::string> warnings;
};

// Errors: those of the files, of programmeOf() and of forecastMould(); range (a target that no resin reaches).
[[nodiscard]] tl::expected<MouldAnswer, std::vector<Fault>> forecastMould(const MouldJob& job,
                                                                          std::stop_token stop = {});

} // namespace potwatch::forecast
