// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/pot.h"
#include "analysis/landmarks/curves.h"
#include "analysis/values/findings.h"

#include <vector>

namespace potwatch::heat {

// Share of the evaporated water that has left by each node, 0 to 1: in proportion to the time integral of the
// temperature above boiling_c within the plateau, or evenly over the plateau where the course does not rise above it.
[[nodiscard]] std::vector<double> evaporatedShare(const PotCourse& course, const BoilPlateau& plateau,
                                                  double boiling_c);

struct EvaporationEstimate {
    double evaporated_g = 0.0;
    double u_g = 0.0;
};

// Water that left during the plateau [g], where it was not weighed: the cure goes on as it was before and after, its
// power falling exponentially between the plateau's ends; what is neither stored nor lost went off as steam. Assumes:
// loss is known; pot.latent_heat_j_per_g is set, pot.evaporated_g does not count. Standard uncertainty: two fifths of
// it, and 0.05 g (judged on model runs; no source).
[[nodiscard]] EvaporationEstimate estimateEvaporation(const Pot& pot, const PotCourse& course,
                                                      const landmarks::Course& rates, const Loss& loss,
                                                      const BoilPlateau& plateau);

} // namespace potwatch::heat
