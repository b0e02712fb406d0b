// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/compared_run.h"

#include <string>

namespace potwatch::compare {

// An invented run: 80 g of resin dosed with 4 g at that rate from 120 s on, and a peak.
inline ComparedRun inventedRun(const std::string& name, double rate_g_per_min, double peak_c) {
    ComparedRun run;
    run.name = name;
    run.content = name;
    run.findings.run = name;
    run.findings.samples.span_s = 7200.0;
    run.batch.charge.resin_g = 80.0;
    run.batch.charge.boiling_c = 100.5;
    run.batch.vessel.name = "beaker";
    run.batch.dose = Dose{.substance = "acid", .total_g = 4.0, .rate_g_per_min = rate_g_per_min, .start_s = 120.0};
    run.findings.landmarks.onset =
        Landmark{.time_s = normalEstimate(600.0, 3.0), .temperature_c = normalEstimate(40.0, 0.4)};
    run.findings.landmarks.peak =
        Peak{.time_s = normalEstimate(900.0, 4.0), .temperature_c = normalEstimate(peak_c, 0.3), .reading_c = peak_c};
    run.start_c = normalEstimate(22.0, 0.1);
    run.curve = {.time_s = {0.0, 900.0, 7200.0}, .temperature_c = {22.0, peak_c, 25.0}};
    return run;
}

inline ComparedRun boiledRun(const std::string& name, double rate_g_per_min) {
    ComparedRun run = inventedRun(name, rate_g_per_min, 101.8);
    run.findings.landmarks.boil_plateau = BoilPlateau{.start_s = 890.0, .end_s = 910.0, .temperature_c = 101.0};
    return run;
}

} // namespace potwatch::compare
