// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <cstddef>
#include <span>
#include <vector>

namespace potwatch::compare {

// y = B p by (weighted) least squares.
struct LinearFit {
    std::vector<double> parameters;
    std::vector<double> deviations; // standard deviations of the parameters, from the residuals' own scatter
    std::vector<double> residuals;  // y - B p
    double sum_of_squares = 0.0;    // weighted
    double degrees = 0.0;           // of freedom: points less parameters
};

// Householder QR with pivoting, columns scaled to one length, in extended precision.
// Shape: basis row by row, one row a point, `parameters` columns; weights empty or one a point, > 0.
// Errors: missing (fewer points than parameters, or columns that depend on each other).
// Source: G. H. Golub and C. F. Van Loan, Matrix Computations, 5.3 and 5.4 (from memory).
[[nodiscard]] Result<LinearFit> linearFit(std::span<const double> basis, std::size_t parameters,
                                          std::span<const double> y, std::span<const double> weights = {});

} // namespace potwatch::compare
