// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"
#include "analysis/values/progress.h"
#include "analysis/values/run.h"

#include <cstdint>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch {

// What an equivalent time is wanted for.
struct EquivalentAt {
    double reference_c = 0.0;
    Estimate e_kj_per_mol; // activation energy of the cure
};

struct AnalyseOptions {
    std::string channel;      // the reacting mass; empty = the batch's, else the first temperature channel
    std::vector<double> at_s; // seconds at which the degree of cure is wanted
    int draws = 60; // Monte Carlo draws of the lag for the landmarks; from 200 on of every input, for the heat too
    std::uint64_t seed = 1;
    bool same_vessel = false; // runs of one vessel share their loss coefficient
    std::optional<EquivalentAt> equivalent;
};

// The findings of every run, in the order given; a run that cannot be analysed is a fault, the others are still done.
// Shape: Run::channels hold temperatures in °C (unit "degC") where they are temperatures; see Run.
// Assumes: blanks among the runs (Batch::blank) belong to the vessel they name, and serve every other run of that
// vessel. Errors: input (no such channel, no temperature channel), missing (fewer than 16 usable samples), cancelled.
// Source: the balance and the estimators are documented in analysis/heat, analysis/landmarks and analysis/cure.
[[nodiscard]] std::vector<Result<Analysis>> analyse(std::span<const Run> runs, const AnalyseOptions& options,
                                                    const Progress& progress = {}, std::stop_token stop = {});

} // namespace potwatch
