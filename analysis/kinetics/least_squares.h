// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <cstddef>
#include <functional>
#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::kinetics {

// A sum of squares to be made small. `evaluate` fills the residuals and, where it is not empty, the Jacobian, row by
// row (residuals x parameters); false where the parameters have no answer (a step there is then not taken).
// Assumes: evaluate is a pure function. Shape: lower and upper are empty or as long as there are parameters.
struct LeastSquares {
    std::size_t parameters = 0;
    std::size_t residuals = 0;
    std::function<bool(std::span<const double> parameters, std::span<double> residuals, std::span<double> jacobian)>
        evaluate;
    std::vector<double> lower;
    std::vector<double> upper;
};

struct LeastSquaresSettings {
    int most_iterations = 200;
    double function_tolerance = 1e-12; // relative fall of the sum of squares at which a search has arrived
    double parameter_tolerance = 1e-12;
    double gradient_tolerance = 1e-14;
    int polishing_steps = 4; // Gauss-Newton steps from where a search has arrived, as long as they lead no further up
    // Every way of searching from every start, by QR; false: the first way alone, by the normal equations, which is
    // faster where there are thousands of residuals.
    bool thorough = true;
    bool unfinished_counts = false; // a search that ran out of steps is as good as one that arrived
    double first_radius = 1e4; // of the first way's trust region: the wider, the nearer to plain Gauss-Newton steps
    std::stop_token stop;
};

struct LeastSquaresSolution {
    std::vector<double> parameters;
    std::vector<double> residuals;
    std::vector<double> jacobian; // at the solution, row by row
    double sum_of_squares = 0.0;
    int iterations = 0;
    int starts_that_arrived = 0;
};

// The smallest sum of squares that searches from the given starts arrive at, by Levenberg-Marquardt with bold and with
// cautious first steps and by Powell's dogleg.
// Errors: notConverged (no search arrived at a minimum; the last one's reason is named), cancelled.
// Source: Ceres Solver, trust region methods; K. Levenberg (1944), D. Marquardt (1963), M. J. D. Powell (1970).
[[nodiscard]] Result<LeastSquaresSolution> solve(const LeastSquares& problem,
                                                 std::span<const std::vector<double>> starts,
                                                 const LeastSquaresSettings& settings = {});

// Covariance of the parameters [row by row] for residuals of standard deviation 1: the inverse of J^T J.
// Errors: missing (J^T J has no inverse within rounding: the data do not fix all parameters).
[[nodiscard]] Result<std::vector<double>> covarianceOf(const LeastSquaresSolution& solution);

} // namespace potwatch::kinetics
