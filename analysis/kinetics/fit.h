// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/kinetic_fit.h"
#include "analysis/values/progress.h"
#include "analysis/values/run.h"

#include <span>
#include <stop_token>
#include <string>

namespace potwatch {

struct FitOptions {
    RateModel model = RateModel::autocatalytic;
    bool find_catalyst_order = false; // otherwise 1 where a catalyst is dosed
    bool compare_models = true;       // also fit the other rate model, for the table
    std::string channel;              // the reacting mass; empty = as analyse() chooses it
};

// The cure law that explains all runs at once.
// The model's own readings (law, balance, loss, lag) are compared with the recorded ones in bins; what the person
// stated (heat capacity, heat of reaction, surroundings, lag, loss exponent) takes part as unknowns that are known
// within their stated uncertainty, common to the runs that share them, so that the covariance holds noise and
// systematic effects together. Where the residuals are larger than the noise, or neighbours resemble each other, the
// noise counts for more by that. Boiling is left out: the measured temperature carries the cure through it, and steam
// and the cure done in it are unknowns of the run. Errors: input (no heat of reaction, no masses, runs of different
// resins, a run without the catalyst that others have), missing (no exotherm, too little data, one run for a catalyst
// order), notConverged, cancelled; and those of analyse(). Source: JCGM 101:2008, 6 (Bayes); G. A. F. Seber, C. J.
// Wild, Nonlinear Regression (1989), ch. 2 (from memory); H. Akaike, IEEE Trans. Autom. Control 19 (1974) 716.
[[nodiscard]] Result<KineticFit> fitKinetics(std::span<const Run> runs, const FitOptions& options,
                                             const Progress& progress = {}, std::stop_token stop = {});

} // namespace potwatch
