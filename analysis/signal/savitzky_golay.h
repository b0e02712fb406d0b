// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <vector>

namespace potwatch::signal {

// Weights that turn `points` samples at unit spacing into the derivative-th derivative of their least-squares
// polynomial, taken at the index `at` (0 = first sample; need not be whole). Divide by spacing^derivative for another
// spacing. Shape: as many weights as points, in the order of the samples. Assumes: points > order >= 0, derivative >=
// 0. Source: A. Savitzky, M. J. E. Golay, Anal. Chem. 36 (1964) 1627; J. Steinier, Y. Termonia, J. Deltour, Anal. Chem.
// 44 (1972) 1906; by the orthogonal polynomials on equally spaced points (their three-term recurrence: from memory).
[[nodiscard]] std::vector<double> savitzkyGolayWeights(int points, int order, int derivative, double at);

// The same at the middle of the window, (points - 1) / 2.
[[nodiscard]] std::vector<double> savitzkyGolayWeights(int points, int order, int derivative);

struct SavitzkyGolay {
    int points = 5; // of the window, odd
    int order = 2;
    int derivative = 0;
};

// Values smoothed (or differentiated, per second^derivative) by a local polynomial on even spacing; near the ends the
// first and the last full window's polynomial is evaluated off its centre. Shape: as many as went in. Fewer values than
// the window: one polynomial through all of them, NaN where they do not fix it. A NaN spoils the windows that hold it;
// localPolynomial() passes over gaps. Assumes: points odd and > order, interval_s > 0.
[[nodiscard]] std::vector<double> savitzkyGolay(std::span<const double> values, double interval_s,
                                                const SavitzkyGolay& filter);

} // namespace potwatch::signal
