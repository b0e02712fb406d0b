// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/loss_fit.h"
#include "analysis/heat/pot.h"
#include "analysis/heat/stretches.h"
#include "analysis/landmarks/curves.h"
#include "analysis/values/findings.h"
#include "analysis/values/trace.h"
#include "analysis/values/uncertainty.h"

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::heat {

// A quantity against time, straight between its points and constant beyond them.
struct Profile {
    std::vector<double> time_s;
    std::vector<double> value;
};

struct Uncertain {
    double value = 0.0;
    double u = 0.0;
};

// Loss coefficient known from elsewhere than this run's own cooling: a blank, other runs of the vessel, the batch file.
struct KnownLoss {
    Loss loss;
    double log_u = 0.0; // of ln(coefficient)
    double exponent_u = 0.0;
    bool own_cooling_too = true;      // false: taken as it stands
    bool moves_with_capacity = false; // learnt from runs of the same charge: as wrong as their heat capacity is
};

struct BalanceProblem {
    TraceView reading; // settled: ascending times
    const landmarks::Curves* curves = nullptr;
    Pot pot; // evaporated_g as weighed; heat_capacity_j_per_k is charge_j_per_k + vessel_j_per_k
    Profile surroundings_c;
    Profile heater_w;
    std::optional<BoilPlateau> plateau;
    double boiling_c = 100.0;
    bool evaporation_weighed = false;
    std::optional<double> boil_g_per_s_k;
    Uncertain charge_j_per_k;
    Uncertain vessel_j_per_k;
    Uncertain lag_s;
    double surroundings_u_k = 0.5;
    double evaporated_u_g = 0.0; // of the weighed loss
    Prior exponent{0.1, 0.15};
    std::optional<KnownLoss> known_loss;
    // Where the pot cools undisturbed, if it does.
    std::optional<double> cooling_from_s;
    double cooling_to_s = 0.0;
    bool residual_cure = true;
    // The part of the run that is balanced, and the stretches in it that lose heat in their own way.
    double from_s = -std::numeric_limits<double>::infinity();
    double to_s = std::numeric_limits<double>::infinity();
    std::vector<Stretch> stretches;
    double mould_u_j_per_k = 0.0; // of Pot::pour
    Uncertain before_j;           // released before from_s, rectangular
};

// An effect on the released heat that is not the same to both sides [J], as half widths of 95 %.
struct Widening {
    std::string input;
    double below_j = 0.0;
    double above_j = 0.0;
};

// The heat balance of one run.
struct Balance {
    PotCourse course;
    Pot pot;                        // with the evaporated mass that was used
    std::optional<Loss> loss;       // nothing: not known, released_j is a lower bound
    std::optional<LossFit> fit;     // of the own cooling
    std::vector<double> released_j; // at the nodes of course
    std::vector<double> released_u_j;
    std::vector<Contribution> released_from; // of released_j at the last node
    std::vector<Widening> released_widened;  // beyond released_from
    std::vector<Contribution> loss_from;     // of the loss coefficient [W/K]
    double released_high_j = 0.0;            // only without a loss or an upper bound: what it could be at the most
    bool upper_known = true;                 // false: the cooling does not bound the heat that was lost
    Uncertain evaporated_g;
};

// Balances the heat of a run. Inputs that the person states are varied one by one and everything is solved anew, so
// that their effects on loss and heat go together; what the fit of the cooling leaves unknown comes from its
// covariance. Assumes: curves smooth; cooling_from_s is past the peak. Without any knowledge of the loss, the upper end
// takes the pot to cool with a time constant of no less than 100 s (common practice, no source). Source: JCGM
// 100:2008, 5.1.2 and 5.2 (correlated inputs by common variation).
[[nodiscard]] Balance balance(const BalanceProblem& problem);

// The interval with all widenings, each independent of the others and times factor.
[[nodiscard]] Estimate widened(Estimate released, std::span<const Widening> widenings, double factor = 1.0);

} // namespace potwatch::heat
