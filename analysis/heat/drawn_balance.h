// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/balance.h"

#include <cstdint>
#include <stop_token>
#include <vector>

namespace potwatch::heat {

// What the heat balance of a run comes to where every input is drawn from what is known of it. One entry a draw.
struct DrawnBalances {
    std::vector<double> released_j; // at the end of the run
    std::vector<double> loss_coefficient_w_per_k;
    std::vector<double> heat_capacity_j_per_k; // at the end of the run
    std::vector<double> unit;                  // uniform in -1..1, for an input that the balance does not know
};

// Propagates the distributions of the inputs through the balance: heat capacities, lag and stated surroundings
// rectangular, a loss from elsewhere, the evaporated water, the noise and what the fit of the cooling leaves unknown
// (its covariance) normal. The draws are spread over `threads` threads; each has a generator seeded by (seed, its
// number), so that the result is the same for any number of threads. Draws whose cooling cannot be fitted are left out.
// Assumes: balance(problem) knows the loss. Empty where it is stopped. Source: JCGM 101:2008, 5.9 and 7.
[[nodiscard]] DrawnBalances drawBalances(const BalanceProblem& problem, int count, std::uint64_t seed, int threads,
                                         std::stop_token stop = {});

} // namespace potwatch::heat
