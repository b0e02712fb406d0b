// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/values/uncertainty.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <numeric>

namespace potwatch {

namespace {

// The standard normal distribution function, and its integral from minus infinity to z.
struct Normal {
    double below;
    double integral;
};
Normal normalAt(double z) {
    const double density = std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
    const double below = 0.5 * std::erfc(-z / std::numbers::sqrt2);
    return {.below = below, .integral = z * below + density};
}

} // namespace

double coverageFactor95(double u_rectangular, double u_normal) {
    const double u = std::hypot(u_rectangular, u_normal);
    const double half_width = std::numbers::sqrt3 * u_rectangular;
    if (!(u > 0.0) || half_width < 1e-3 * u_normal) {
        return coverage_factor_95;
    }
    if (u_normal < 1e-3 * half_width) {
        return 0.95 * std::numbers::sqrt3;
    }
    // The share of the sum below x, for a rectangular distribution on ± half_width plus a normal one, bends downwards
    // where x > 0. So Newton's steps from below the answer rise to it and never pass it; the rectangular factor lies
    // below.
    double x = 0.95 * std::numbers::sqrt3 * u;
    for (int i = 0; i < 50; ++i) {
        const Normal high = normalAt((x + half_width) / u_normal);
        const Normal low = normalAt((x - half_width) / u_normal);
        const double share = u_normal / (2.0 * half_width) * (high.integral - low.integral);
        const double step = (0.975 - share) * 2.0 * half_width / (high.below - low.below);
        x += step;
        if (std::abs(step) < 1e-13 * u) {
            break;
        }
    }
    return x / u;
}

Estimate fromDraws(double value, std::vector<double> draws) {
    std::sort(draws.begin(), draws.end());
    const auto n = static_cast<double>(draws.size());
    const double mean = std::accumulate(draws.begin(), draws.end(), 0.0) / n;
    double square = 0.0;
    for (const double one : draws) {
        square += (one - mean) * (one - mean) / (n - 1.0);
    }
    const auto quantile = [&](double share) {
        const double place = std::clamp(share * n - 0.5, 0.0, n - 1.0);
        const auto below = static_cast<std::size_t>(place);
        const std::size_t above = std::min(below + 1, draws.size() - 1);
        return std::lerp(draws[below], draws[above], place - static_cast<double>(below));
    };
    return {.value = value,
            .u = std::sqrt(square),
            .low = std::min(value, quantile(0.025)),
            .high = std::max(value, quantile(0.975))};
}

Estimate combine(double value, std::span<const Contribution> contributions) {
    double square = 0.0;
    double largest_rectangular = 0.0;
    for (const Contribution& part : contributions) {
        square += part.u * part.u;
        if (part.distribution == Distribution::rectangular) {
            largest_rectangular = std::max(largest_rectangular, std::abs(part.u));
        }
    }
    const double u = std::sqrt(square);
    const double rest = std::sqrt(std::max(0.0, square - largest_rectangular * largest_rectangular));
    const double half = coverageFactor95(largest_rectangular, rest) * u;
    return {.value = value, .u = u, .low = value - half, .high = value + half};
}

} // namespace potwatch
