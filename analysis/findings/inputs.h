// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/balance.h"
#include "analysis/landmarks/boil.h"
#include "analysis/values/fault.h"
#include "analysis/values/findings.h"
#include "analysis/values/run.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::findings {

// What the batch file says, and what stands in for what it does not say, as the numbers that the analysis uses.
struct Inputs {
    heat::Uncertain lag_s;
    double thermocouple_u_k = 0.0; // 0: not stated, and then not in the intervals
    std::optional<heat::DoseCourse> dose;
    bool masses_known = false; // false: heats are relative
    heat::Uncertain charge_j_per_k;
    heat::Uncertain vessel_j_per_k;
    double dose_specific_heat_j_per_g_k = 0.0;
    std::optional<double> dose_temperature_c; // nothing: that of the surroundings
    std::optional<double> resin_g;
    landmarks::BoilingPoint boiling;
    std::optional<double> boil_g_per_s_k;
    double latent_heat_j_per_g = 0.0;
    std::optional<double> weighed_loss_g;
    std::optional<heat::Profile> surroundings_c; // nothing: to be found from the trace
    double surroundings_u_k = 0.0;
    heat::Profile heater_w;
    std::optional<heat::KnownLoss> stated_loss;
    heat::Prior exponent;
    std::optional<heat::Uncertain> heat_of_reaction_j_per_g;
    double start_degree = 0.0;

    std::vector<Input> stated; // for the report
    std::vector<std::string> warnings;
};

// Reads the batch of a run. The lag is that of the pot's own probe, else the one for all.
// Errors: input (a channel that the batch names is not there; a boiling point cannot be worked out from the pressure),
// those of thermocouple::correctionOf().
[[nodiscard]] Result<Inputs> inputsOf(const Run& run, const std::string& pot_channel);

} // namespace potwatch::findings
