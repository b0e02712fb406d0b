// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse.h"
#include "analysis/values/estimate.h"
#include "analysis/values/fault.h"
#include "analysis/values/run.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// A hot-water run: water of known mass and temperature is poured into the vessel and left to cool. The surroundings,
// the probe and the channels are those of the run's batch.
struct HotWater {
    double water_g = 0.0;
    double water_u_g = 0.5;         // standard uncertainties, as stated: rectangular
    std::optional<double> water_c;  // by the same probe, just before it was poured; without it the vessel stays unknown
    double water_u_k = 0.3;         // of it as it arrives: pouring cools it (common practice, no source)
    std::optional<double> vessel_c; // of the vessel before; empty = the surroundings'
    std::optional<double> poured_s; // empty = the event "pour", else the fastest rise of the trace
    bool covered = false;           // with a lid, so that little evaporates
    std::optional<double> loss_g;   // weighed: the water that evaporated up to the end of the recording
};

// What such a run says of the pot. What cannot be known is empty, and the reason stands beside it.
struct PotKnowledge {
    std::optional<Estimate> vessel_j_per_k;
    std::string why_no_vessel;
    std::optional<Estimate> loss_coefficient_w_per_k; // at 20 K above the surroundings, as everywhere
    std::optional<Estimate> loss_exponent;            // only where the cooling tells more than convection's usual range
    std::string why_no_loss;
    std::optional<double> poured_s;
    std::optional<Estimate> mixed_c; // of water and vessel at the pouring, carried back along the cooling
    double cooling_from_s = 0.0;     // that the loss is read from
    double cooling_to_s = 0.0;
    std::optional<double> evaporated_share; // of the heat that was lost, from loss_g
    std::vector<std::string> warnings;
};

// Heat capacity of the vessel: m c (T_water - T_mixed) / (T_mixed - T_vessel), T_mixed from the cooling of the two
// minutes that follow the first one, carried back to the pouring by ln(T - Te) against time. The loss: as a blank's
// (heat::balance) with that heat capacity; the exponent's interval holds what the water's heat capacity changes on the
// way. Where the pot is open, only the cooling below 60 °C counts if that covers 10 K: above, what evaporates carries
// off more than the wall. Shape: as analyse(). Errors: those of analyse(); range (a mass or temperature that cannot
// be), missing (the surroundings' temperature is not stated). Source: method of mixtures; JCGM 100:2008, 5.1.2.
[[nodiscard]] Result<PotKnowledge> knowPot(const Run& run, const HotWater& water, const AnalyseOptions& options = {});

} // namespace potwatch
