// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/ladder.h"

#include <fmt/format.h>

#include <algorithm>

namespace potwatch::session {

std::vector<Rung> ladder(const Batch& batch, const Findings* findings) {
    std::vector<Rung> rungs;
    const bool lag = batch.sensor_lag_s ||
                     std::any_of(batch.probes.begin(), batch.probes.end(), [](const Probe& p) { return p.lag_s; });
    if (batch.blank) {
        rungs.push_back({"the trace alone", "how fast the vessel cools", "", true});
        rungs.push_back({"the mass of the water", "the vessel's loss coefficient, for every run in it",
                         "charge.water_g", batch.charge.water_g.has_value()});
        rungs.push_back({"the vessel's heat capacity", "a narrower loss coefficient", "vessel.heat_capacity_j_per_k",
                         batch.vessel.heat_capacity_j_per_k.has_value()});
        rungs.push_back({"the vessel's name", "a loss that the runs of that vessel can use", "vessel.name",
                         !batch.vessel.name.empty()});
        return rungs;
    }
    rungs.push_back({"the trace alone", "onset, peak, rates and a cure relative to this run", "", true});
    rungs.push_back({"the probe's lag", "the resin's own peak, which the probe blunts", "sensor.lag_s", lag});
    rungs.push_back({"the mass of the resin", "the heat in joules", "charge.resin_g",
                     batch.charge.resin_g || !batch.ingredients.empty()});
    rungs.push_back({"the vessel's heat capacity", "the vessel's share of the heat", "vessel.heat_capacity_j_per_k",
                     batch.vessel.heat_capacity_j_per_k.has_value()});
    rungs.push_back({"the resin's specific heat", "a narrower interval of the heat", "charge.specific_heat_j_per_g_k",
                     batch.charge.specific_heat_j_per_g_k.has_value()});
    if (findings != nullptr && findings->heat.lower_bound && findings->landmarks.peak) {
        rungs.push_back({"the cooling recorded to its end, or a blank of the vessel",
                         "the whole heat instead of a lower bound", "", false});
    }
    if (findings != nullptr && findings->landmarks.boil_plateau) {
        rungs.push_back({"the weighed loss", "the water that boiled off, and its share of the heat", "weighed.loss_g",
                         batch.weighed_loss_g.has_value()});
    }
    rungs.push_back({"the heat of reaction", "the degree of cure against a full cure", "cure.heat_of_reaction_j_per_g",
                     batch.cure.heat_of_reaction_j_per_g.has_value()});
    rungs.push_back({"the degree at gel", "stage A told from stage B", "cure.gel_degree",
                     batch.cure.gel_degree || batch.outcome.solvent_test});
    return rungs;
}

std::string nextStep(const std::vector<Rung>& rungs) {
    const auto next = std::find_if(rungs.begin(), rungs.end(), [](const Rung& rung) { return !rung.reached; });
    return next == rungs.end() ? std::string() : fmt::format("with {} you also get {}", next->knowledge, next->buys);
}

} // namespace potwatch::session
