// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/pot.h"
#include "analysis/values/estimate.h"
#include "analysis/values/trace.h"

#include <array>
#include <optional>
#include <vector>

namespace potwatch::heat {

// What is known of a quantity before the fit: normal with this mean and standard deviation.
struct Prior {
    double mean = 0.0;
    double u = 1.0;
};

struct LossFitSettings {
    double from_s = 0.0;
    double to_s = 0.0;
    bool residual_cure = true;  // false: nothing reacts any more (a blank)
    Prior exponent{0.1, 0.15};  // natural convection lies between 0 and 1/3
    Prior shift_k{0.0, 0.5};    // of the surroundings
    double shift_limit_k = 1e9; // the shift stays within this of its prior's mean
    double noise_k = 0.1;       // of one reading
    bool profile = false;       // finds LossFit::lost_below and lost_above
    std::vector<double> start;  // LossFit::parameters of a fit nearby: saves the search
};

// How fast a pot cools, found from a stretch in which it cools.
struct LossFit {
    Loss loss;
    // Covariance of ln(coefficient), exponent, shift_k, row by row: noise of the readings and the model of the residual
    // cure.
    std::array<double, 9> covariance{};
    double from_s = 0.0;
    double to_s = 0.0;
    // ln(coefficient) of this fit less that of one in which nothing reacts any more: what rests on the model of
    // residual cure.
    double residual_effect = 0.0;
    double residual_heat_j = 0.0; // released after from_s
    double reduced_chi_square = 0.0;
    int bins = 0;
    bool shift_held = false; // at its limit: the cooling wants other surroundings than those stated
    Loss without_residual;   // of the fit in which nothing reacts any more
    // 95 % interval of the logarithm of the heat lost over the whole course, as distances from this fit: along the
    // profile of the likelihood, so that it leans as the data do. Infinite: the data do not bound it.
    std::optional<double> lost_below;
    std::optional<double> lost_above;
    std::vector<double> parameters; // all of the fit, for LossFitSettings::start
};

// Fits the cooling: stored heat(t) = start - coefficient * lossIntegral(t) + residual heat(t), to the readings in bins.
// The residual cure decays as one of order n with an Arrhenius rate per catalyst, n and E known only within the range
// of phenolic resins: n - 1 = 0.6 (factor 1.8 either way), E = 55 ± 12 kJ/mol; so that a cure that still trickles while
// the pot cools does not read as a smaller loss. A fit without residual cure comes first: the other starts from it, and
// residual_effect is their difference. Where the readings scatter about the fit by more than their noise the covariance
// grows with it, the more where neighbouring bins go together. Shape: reading is the settled trace, course spans it.
// lag_s corrects each bin's mean exactly (T = Tm + lag dTm/dt). Returns nothing where the stretch holds fewer than 16
// bins, the pot cools by less than 4 K there, or the fit does not converge. Source: Newton's law of cooling with
// (|dT|/20 K)^x for natural convection; nth-order kinetics integrated along the measured temperature. Range of E: check
// values of acid-set resins, 50-70 kJ/mol (common practice, no source).
[[nodiscard]] std::optional<LossFit> fitLoss(TraceView reading, double lag_s, const Pot& pot, const PotCourse& course,
                                             const LossFitSettings& settings);

} // namespace potwatch::heat
