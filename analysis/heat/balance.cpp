// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/balance.h"

#include "analysis/heat/balance_solution.h"
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace potwatch::heat {

namespace {
constexpr double shortest_time_constant_s = 100.0;
constexpr double rectangular_end = 1.7320508075688772; // of a rectangular distribution, in standard deviations

// A profile that is wider than the linear interval by less than this factor leans by no more than it is known.
constexpr double leaning = 1.5;

// What the profile of the lost heat says beyond its linear interval.
void lean(Balance& result, const Solved& best, const BalanceProblem& problem, double linear_u_j) {
    if (!best.fit->lost_above || !best.fit->lost_below) {
        return;
    }
    const std::vector<double> lost = lossIntegral(best.course, best.loss.exponent, best.loss.shift_k);
    const double lost_j = best.loss.coefficient_w_per_k * lost.back();
    const double linear_j = coverage_factor_95 * linear_u_j;
    const auto beyond = [&](double half_j) {
        return half_j > leaning * linear_j ? std::sqrt(half_j * half_j - linear_j * linear_j) : 0.0;
    };
    const double below_j = lost_j * -std::expm1(-*best.fit->lost_below);
    const bool open = std::isinf(*best.fit->lost_above);
    const double above_j = open ? 0.0 : lost_j * std::expm1(*best.fit->lost_above);
    result.released_widened.push_back({"heat loss", beyond(below_j), beyond(above_j)});
    result.upper_known = !open || problem.known_loss.has_value();
}
} // namespace

Balance balance(const BalanceProblem& problem) {
    const Solved best = solve(problem, {}, nullptr);
    Balance result{.course = best.course,
                   .pot = best.pot,
                   .fit = best.fit,
                   .released_j = best.released_j,
                   .evaporated_g = best.evaporated_g};
    if (best.loss_known) {
        result.loss = best.loss;
    }
    const std::size_t n = best.released_j.size();
    std::vector<double> square(n, 0.0);
    const auto resampled = [&](const Solved& other) {
        // Another lag moves the knots' values, not the nodes: the same nodes throughout.
        return other.released_j.size() == n ? other.released_j
                                            : signal::linear(other.course.time_s, other.released_j, best.course.time_s);
    };
    const auto vary = [&](const std::string& input, const Varied& by, Distribution distribution) {
        const Solved other = solve(problem, by, &best);
        const std::vector<double> released = resampled(other);
        for (std::size_t i = 0; i < n; ++i) {
            square[i] += (released[i] - best.released_j[i]) * (released[i] - best.released_j[i]);
        }
        result.released_from.push_back({input, released.back() - best.released_j.back(), distribution});
        if (best.loss_known) {
            result.loss_from.push_back(
                {input, other.loss.coefficient_w_per_k - best.loss.coefficient_w_per_k, distribution});
        }
    };
    const auto capacityVaried = [&](double by_j_per_k) {
        const bool moves = problem.known_loss && problem.known_loss->moves_with_capacity;
        return Varied{.heat_capacity_j_per_k = by_j_per_k,
                      .log_loss = moves ? by_j_per_k / problem.pot.heat_capacity_j_per_k : 0.0};
    };
    if (problem.charge_j_per_k.u > 0.0) {
        vary("heat capacity of the charge", capacityVaried(problem.charge_j_per_k.u), Distribution::rectangular);
    }
    if (problem.vessel_j_per_k.u > 0.0) {
        vary("heat capacity of the vessel", capacityVaried(problem.vessel_j_per_k.u), Distribution::rectangular);
    }
    if (problem.pot.pour && problem.mould_u_j_per_k > 0.0) {
        vary("heat capacity of the mould", {.mould_j_per_k = problem.mould_u_j_per_k}, Distribution::rectangular);
    }
    if (problem.before_j.u > 0.0) {
        for (double& one : square) {
            one += problem.before_j.u * problem.before_j.u;
        }
        result.released_from.push_back({"heat released before", problem.before_j.u, Distribution::rectangular});
    }
    if (problem.lag_s.u > 0.0) {
        vary("probe lag", {.lag_s = problem.lag_s.u}, Distribution::rectangular);
    }
    if (best.evaporated_g.u > 0.0) {
        vary("evaporated water", {.evaporated_g = best.evaporated_g.u}, Distribution::normal);
    }
    if (best.loss_known && !best.fit) {
        vary("loss coefficient", {.log_loss = problem.known_loss->log_u}, Distribution::normal);
        if (problem.known_loss->exponent_u > 0.0) {
            vary("loss exponent", {.exponent = problem.known_loss->exponent_u}, Distribution::normal);
        }
        vary("surroundings", {.shift_k = problem.surroundings_u_k}, Distribution::rectangular);
    }
    if (best.fit) {
        // What the cooling leaves unknown: along the axes of the covariance of ln(coefficient), exponent and shift.
        const std::array<double, 9>& cov = best.fit->covariance;
        std::array<std::vector<double>, 3> gradient;
        const std::array<double, 3> step{std::sqrt(cov[0]), std::sqrt(cov[4]), std::sqrt(cov[8])};
        for (std::size_t k = 0; k < 3; ++k) {
            Loss moved = best.loss;
            moved.coefficient_w_per_k *= k == 0 ? std::exp(step[0]) : 1.0;
            moved.exponent += k == 1 ? step[1] : 0.0;
            moved.shift_k += k == 2 ? step[2] : 0.0;
            gradient[k] = releasedHeat(best.pot, best.course, moved);
            for (std::size_t i = 0; i < n; ++i) {
                const double away_j = gradient[k][i] + problem.before_j.value - best.released_j[i];
                gradient[k][i] = step[k] > 0.0 ? away_j / step[k] : 0.0;
            }
        }
        double last = 0.0;
        for (std::size_t i = 0; i < n; ++i) {
            double variance = 0.0;
            for (std::size_t a = 0; a < 3; ++a) {
                for (std::size_t b = 0; b < 3; ++b) {
                    variance += gradient[a][i] * cov[3 * a + b] * gradient[b][i];
                }
            }
            last = std::max(0.0, variance);
            square[i] += last;
        }
        result.released_from.push_back({"heat loss", std::sqrt(last), Distribution::normal});
        lean(result, best, problem, std::sqrt(last));
        result.loss_from.push_back(
            {"cooling", best.loss.coefficient_w_per_k * std::sqrt(cov[0]), Distribution::normal});
    }
    // Stretches that lose heat in their own way: both ends of what their loss may be.
    for (std::size_t k = 0; k < problem.stretches.size(); ++k) {
        const Stretch& stretch = problem.stretches[k];
        if (!(stretch.log_factor_u > 0.0) || !best.loss_known) {
            continue;
        }
        std::array<std::vector<double>, 2> ends;
        for (std::size_t side = 0; side < 2; ++side) {
            std::vector<Stretch> other = problem.stretches;
            other[k].log_factor += (side == 0 ? -1.0 : 1.0) * rectangular_end * stretch.log_factor_u;
            PotCourse course = best.course;
            setLossFactors(course, other);
            ends[side] = releasedHeat(best.pot, course, best.loss);
        }
        const std::vector<double> middle = releasedHeat(best.pot, best.course, best.loss);
        for (std::size_t i = 0; i < n; ++i) {
            const double furthest =
                std::max(std::abs(ends[0][i] - middle[i]), std::abs(ends[1][i] - middle[i])) / rectangular_end;
            square[i] += furthest * furthest;
        }
        const auto [least, most] = std::minmax(ends[0].back(), ends[1].back());
        result.released_widened.push_back(
            {"heat loss " + (stretch.after.empty() ? "at first" : "after " + stretch.after),
             std::max(0.0, middle.back() - least), std::max(0.0, most - middle.back())});
    }
    const std::vector<double> level_u =
        signal::uncertaintyAtKnots(problem.curves->level, problem.lag_s.value, problem.curves->noise_k);
    const std::vector<double> noise_k = signal::linear(problem.curves->level.time_s, level_u, best.course.time_s);
    result.released_u_j.resize(n);
    double noise_j = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        noise_j = heatCapacityAt(best.pot, best.course, i) * noise_k[i];
        result.released_u_j[i] = std::sqrt(square[i] + noise_j * noise_j);
    }
    result.released_from.push_back({"noise of the readings", noise_j, Distribution::normal});
    if (!best.loss_known || !result.upper_known) {
        const Loss fastest{.coefficient_w_per_k = best.pot.heat_capacity_j_per_k / shortest_time_constant_s};
        result.released_high_j = releasedHeat(best.pot, best.course, fastest).back();
    }
    return result;
}

Estimate widened(Estimate released, std::span<const Widening> widenings, double factor) {
    double below = released.value - released.low;
    double above = released.high - released.value;
    for (const Widening& one : widenings) {
        below = std::hypot(below, factor * one.below_j);
        above = std::hypot(above, factor * one.above_j);
    }
    released.u = std::max(released.u, 0.5 * (below + above) / coverage_factor_95);
    released.low = released.value - below;
    released.high = released.value + above;
    return released;
}

} // namespace potwatch::heat
