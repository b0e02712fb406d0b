// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/balance.h"

#include <optional>
#include <vector>

namespace potwatch::heat {

// One solution of a heat balance for one set of inputs, without uncertainty.
struct Solved {
    PotCourse course;
    Pot pot;
    Loss loss;
    bool loss_known = false;
    std::optional<LossFit> own_cooling; // the fit before anything from elsewhere was added
    std::optional<LossFit> fit;
    Uncertain evaporated_g;
    std::vector<double> released_j;
};

// By how much the inputs of a solution differ from those of its problem.
struct Varied {
    double heat_capacity_j_per_k = 0.0; // added
    double lag_s = 0.0;                 // added
    double evaporated_g = 0.0;          // added
    double shift_k = 0.0;               // added to the surroundings
    double log_loss = 0.0;              // added to the loss taken as it stands
    double exponent = 0.0;
    double mould_j_per_k = 0.0; // added
};

// Sets PotCourse::loss_factor from the stretches.
void setLossFactors(PotCourse& course, const std::vector<Stretch>& stretches);

// Solves a problem with its inputs varied. near: a solution of the problem close by, whose fit is where this one starts
// from, whose covariance it keeps and whose evaporated mass it takes over; null = none.
[[nodiscard]] Solved solve(const BalanceProblem& problem, const Varied& varied, const Solved* near);

} // namespace potwatch::heat
