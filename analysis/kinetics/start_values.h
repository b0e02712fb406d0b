// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"
#include "analysis/kinetics/pot_residuals.h"
#include "analysis/values/kinetics.h"

#include <optional>
#include <span>
#include <vector>

namespace potwatch::kinetics {

// How fast it cures at one moment, as the heat balance has it.
struct RateSample {
    double time_s = 0.0;
    double temperature_c = 0.0;
    double degree = 0.0;
    double rate_per_s = 0.0;
    double u_per_s = 0.0;      // of the rate, from the noise
    double log_catalyst = 0.0; // ln of catalyst per resin over its reference; 0 where none is needed
    std::size_t run = 0;
};

// The samples of one run at the knots of its rate: before any boiling, where the rate stands out of its noise. `loss`
// stands in where the run does not know its own. Where more heat was released than the reference has, the degrees are
// scaled to end at 1.
[[nodiscard]] std::vector<RateSample> rateSamples(const findings::RunStudy& study, const PotRun& run,
                                                  const heat::Loss& loss);

// Values of the cure law's seven parameters to start a search from, best first: the law fitted to the rates themselves,
// from Friedman's activation energies (corrected for the catalyst) and several degrees of self-acceleration; before
// those, of an autocatalytic law, the best of them with weight on both of its paths; after those some that lie apart.
// `order` is held where it is given.
[[nodiscard]] std::vector<std::vector<double>> startValues(std::span<const findings::RunStudy> studies,
                                                           std::span<const RateSample> samples,
                                                           const PotSettings& settings, std::optional<double> order);

} // namespace potwatch::kinetics
