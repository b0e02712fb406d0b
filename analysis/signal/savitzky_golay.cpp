// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/savitzky_golay.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>

namespace potwatch::signal {

namespace {

// The recurrence's factor of the monic orthogonal polynomials on `points` equally spaced, centred abscissae:
// p[k+1](x) = x p[k](x) - factor(k) p[k-1](x).
double recurrenceFactor(int k, int points) {
    const double kk = static_cast<double>(k) * k;
    const double nn = static_cast<double>(points) * points;
    return kk * (nn - kk) / (4.0 * (4.0 * kk - 1.0));
}

// The derivative-th derivatives of p[0] ... p[order] at x.
std::vector<double> polynomials(double x, int points, int order, int derivative) {
    const auto count = static_cast<std::size_t>(order) + 1;
    std::vector<double> below(count, 0.0);
    std::vector<double> result(count, 0.0);
    for (int d = 0; d <= derivative; ++d) {
        result[0] = d == 0 ? 1.0 : 0.0;
        for (std::size_t k = 0; k + 1 < count; ++k) {
            const double before = k == 0 ? 0.0 : recurrenceFactor(static_cast<int>(k), points) * result[k - 1];
            result[k + 1] = x * result[k] + d * below[k] - before;
        }
        below = result;
    }
    return result;
}

double weightedSum(const std::vector<double>& weights, std::span<const double> values) {
    double sum = 0.0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        sum += weights[i] * values[i];
    }
    return sum;
}

} // namespace

std::vector<double> savitzkyGolayWeights(int points, int order, int derivative, double at) {
    assert(order >= 0 && points > order && derivative >= 0);
    const double middle = 0.5 * (points - 1);
    std::vector<double> at_place = polynomials(at - middle, points, order, derivative);
    double norm = points;
    for (int k = 0; k <= order; ++k) {
        norm *= k == 0 ? 1.0 : recurrenceFactor(k, points);
        at_place[static_cast<std::size_t>(k)] /= norm;
    }
    std::vector<double> weights(static_cast<std::size_t>(points));
    for (std::size_t i = 0; i < weights.size(); ++i) {
        weights[i] = weightedSum(at_place, polynomials(static_cast<double>(i) - middle, points, order, 0));
    }
    return weights;
}

std::vector<double> savitzkyGolayWeights(int points, int order, int derivative) {
    return savitzkyGolayWeights(points, order, derivative, 0.5 * (points - 1));
}

std::vector<double> savitzkyGolay(std::span<const double> values, double interval_s, const SavitzkyGolay& filter) {
    assert(filter.points % 2 == 1 && interval_s > 0.0);
    const std::size_t n = values.size();
    const std::size_t points = std::min(n, static_cast<std::size_t>(filter.points));
    if (points <= static_cast<std::size_t>(filter.order)) {
        return std::vector<double>(n, std::numeric_limits<double>::quiet_NaN());
    }
    const int window = static_cast<int>(points);
    const double scale = std::pow(interval_s, -filter.derivative);
    const std::size_t half = points / 2;
    const std::vector<double> central =
        savitzkyGolayWeights(window, filter.order, filter.derivative, static_cast<double>(half));
    std::vector<double> result(n);
    for (std::size_t i = 0; i < n; ++i) {
        const std::size_t first = i < half ? 0 : std::min(i - half, n - points);
        const std::size_t at = i - first;
        const std::span<const double> samples = values.subspan(first, points);
        result[i] = scale * (at == half ? weightedSum(central, samples)
                                        : weightedSum(savitzkyGolayWeights(window, filter.order, filter.derivative,
                                                                           static_cast<double>(at)),
                                                      samples));
    }
    return result;
}

} // namespace potwatch::signal
