// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "app/session/report_run.h"

#include <string>
#include <vector>

namespace potwatch::report {

// An invented pot: the degree of cure follows a logistic curve, the temperature its balance. Numbers of no real resin;
// they only have to look like a run.
struct InventedPot {
    std::string name = "rod 03";
    double length_s = 3600.0;
    double interval_s = 0.5;
    std::vector<double> middles_s{900.0}; // of each exotherm, the largest first
    double width_s = 60.0;                // of its logistic curve
    double boiling_c = 1000.0;            // the temperature stands there as long as the heat lasts
    double loss_w_per_k = 0.8;
};

// Findings and series of that pot with everything known: landmarks, heat, cure, events, inputs.
[[nodiscard]] Analysis inventedAnalysis(const InventedPot& pot = {});

// A short one, quick to draw.
[[nodiscard]] Analysis shortAnalysis();

// The same with nothing known but the probe's reading.
[[nodiscard]] Analysis traceAlone(const Analysis& analysis);

// Runs of a report, about which nothing is stated.
[[nodiscard]] std::vector<session::ReportRun> reportRuns(const std::vector<Analysis>& analyses);

} // namespace potwatch::report
