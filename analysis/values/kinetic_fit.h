// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/adiabatic.h"
#include "analysis/values/estimate.h"
#include "analysis/values/kinetics.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// One figure of the fit. Names and units as in the kinetics file.
struct FittedParameter {
    std::string name;
    std::string unit;
    Estimate value;
    std::string vessel;     // of a loss coefficient or exponent
    bool determined = true; // false: the data leave it so wide that its value says little
};

// A stretch of a run that was not compared with the model.
struct LeftOut {
    std::string run;
    double from_s = 0.0;
    double to_s = 0.0;
    std::string reason;
    std::optional<Estimate> evaporated_g; // what the fit says left as steam
};

// How well one run is matched, and the curves behind that.
// Shape: all of time_s's length.
struct FittedRun {
    std::string name;
    std::string file;
    std::string vessel;
    double rmse_degree = 0.0;
    double rmse_k = 0.0; // of the readings' bins
    double degree_final = 0.0;
    AdiabaticFigures adiabatic;
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    std::vector<double> degree;          // of the model
    std::vector<double> measured_degree; // by the heat balance of the readings
    std::vector<double> difference_k;    // reading less model
};

struct ComparedModel {
    RateModel model = RateModel::autocatalytic;
    int parameters = 0;
    double rmse_degree = 0.0;
    double aic = 0.0;  // difference to the best of the table
    std::string fault; // why there is no fit; empty = there is one
};

// A figure that was given, and what the fit made of it within its stated uncertainty.
struct AdjustedInput {
    std::string name;
    std::string unit;
    std::string of; // run or vessel; empty = common to all
    double stated = 0.0;
    double stated_u = 0.0;
    Estimate fitted;
};

struct KineticFit {
    Kinetics kinetics;
    std::vector<FittedParameter> parameters;
    std::vector<std::string> correlated; // names of the rows of `correlation`
    std::vector<std::vector<double>> correlation;
    std::optional<double> catalyst_order_held; // not found: 1 where a catalyst is dosed, 0 where none is needed
    double rmse_degree = 0.0;
    double reduced_chi_square = 0.0; // 1: the model is as good as the readings' noise
    int iterations = 0;
    std::size_t samples = 0;
    std::size_t bins = 0;
    std::vector<FittedRun> runs; // in the order given, blanks left out
    std::vector<LeftOut> left_out;
    std::vector<ComparedModel> models;
    std::vector<AdjustedInput> inputs;
    std::vector<std::string> warnings;
};

} // namespace potwatch
