// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"
#include "analysis/heat/balance.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::kinetics {

// What acts on a pot at one time, as far as it does not hang on the fit.
struct Conditions {
    double log_catalyst = 0.0; // ln of catalyst per resin over its reference
    bool cures = true;         // false: no catalyst yet
    double dosed_g = 0.0;
    double surroundings_c = 0.0;
    double heater_j = 0.0; // put in up to then
    double evaporated_share = 0.0;
    double measured_c = 0.0; // temperature of the resin, smoothed and corrected for lag
};

// One step of the integration, and the bin of readings at its end.
struct Step {
    double duration_s = 0.0;
    Conditions middle;
    Conditions end;
    bool left_out = false;      // boiling: the measured temperature drives the cure, and nothing is compared
    bool ends_left_out = false; // the last step of such a stretch
    int bin = -1;
};

// Mean of some neighbouring readings, corrected to the value at their middle.
struct Bin {
    double time_s = 0.0;
    double reading_c = 0.0;
    double u_k = 0.0;
};

struct Stretch {
    double from_s = 0.0;
    double to_s = 0.0;

    bool operator==(const Stretch&) const = default;
};

// One run as the fit sees it: its readings in bins, and the steps of time from one to the next.
struct PotRun {
    std::string name;
    std::string vessel;
    std::string channel;
    double start_s = 0.0;
    Conditions start;
    std::vector<Step> steps;
    std::vector<Bin> bins;
    std::optional<Stretch> left_out;
    double inflation = 1.0; // of the bins' u_k: how far the model misses this run beyond its noise

    double resin_g = 0.0;
    double heat_of_reaction_j_per_g = 0.0;
    double heat_of_reaction_rel = 0.0; // its relative standard uncertainty
    double start_degree = 0.0;
    heat::Uncertain charge_j_per_k;
    heat::Uncertain vessel_j_per_k;
    double dose_specific_heat_j_per_g_k = 0.0;
    double dose_c = 0.0;
    double dosed_g = 0.0;
    bool dosed_catalyst = false;
    double catalyst_reference_g_per_g = 0.0;
    double steam_j_per_g = 0.0;
    double water_specific_heat_j_per_g_k = 0.0;
    heat::Uncertain evaporated_g;
    bool evaporation_weighed = false;
    heat::Uncertain lag_s;
    double surroundings_u_k = 0.0;
    heat::Prior loss_exponent;
    double thermocouple_u_k = 0.0;
    std::optional<heat::Uncertain> stated_loss_w_per_k;
    std::optional<heat::Loss> tail_loss; // of the run's own cooling, found for itself
    double tail_loss_log_u = 0.0;
};

// How the readings are gathered.
struct Binning {
    double widest_k = 1.2;             // a bin spans no more than this
    double widest_share = 1.0 / 150.0; // nor more of the run than this
};

// Catalyst per resin of a run [g/g]; 0 where none was dosed, or what was dosed is no catalyst.
[[nodiscard]] double catalystOf(const findings::RunStudy& study);

// Assumes: the study has masses, surroundings, a rise and a heat of reaction (see fit.h for what is refused).
// catalyst_reference_g_per_g 0: the cure needs no catalyst.
[[nodiscard]] PotRun potRunOf(const findings::RunStudy& study, double catalyst_reference_g_per_g,
                              const Binning& binning = {});

// The same run with the steps marked by `cut` cut in two. Shape: cut as long as run.steps.
[[nodiscard]] PotRun withStepsCut(const findings::RunStudy& study, const PotRun& run, const std::vector<bool>& cut);

} // namespace potwatch::kinetics
