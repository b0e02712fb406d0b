// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/drawn_balance.h"

#include "analysis/heat/balance_solution.h"
#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <random>
#include <thread>

namespace potwatch::heat {

namespace {

class Drawer {
public:
    Drawer(std::uint64_t seed, std::size_t number) {
        std::seed_seq sequence{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U),
                               static_cast<std::uint32_t>(number)};
        random_.seed(sequence);
    }

    double unit() { return 2.0 * (static_cast<double>(random_() >> 11U) * 0x1.0p-53) - 1.0; }
    double rectangular(double u) { return std::numbers::sqrt3 * u * unit(); }
    double normal() { return normal_(random_); }

private:
    std::mt19937_64 random_;
    std::normal_distribution<double> normal_;
};

struct Draw {
    double released_j = 0.0;
    double loss_coefficient_w_per_k = 0.0;
    double heat_capacity_j_per_k = 0.0;
    double unit = 0.0;
};

Varied drawnInputs(const BalanceProblem& problem, const Solved& best, Drawer& drawer) {
    Varied varied;
    varied.heat_capacity_j_per_k =
        drawer.rectangular(problem.charge_j_per_k.u) + drawer.rectangular(problem.vessel_j_per_k.u);
    varied.lag_s = drawer.rectangular(problem.lag_s.u);
    varied.evaporated_g = best.evaporated_g.u * drawer.normal();
    if (problem.known_loss && problem.known_loss->moves_with_capacity) {
        varied.log_loss = varied.heat_capacity_j_per_k / problem.pot.heat_capacity_j_per_k;
    }
    if (!best.fit && problem.known_loss) {
        varied.log_loss += problem.known_loss->log_u * drawer.normal();
        varied.exponent = problem.known_loss->exponent_u * drawer.normal();
        varied.shift_k = drawer.rectangular(problem.surroundings_u_k);
    }
    return varied;
}

// Lower triangle L with L L^T the covariance of ln(coefficient), exponent and shift.
Eigen::Matrix3d rootOf(const LossFit& fit) {
    const Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>> covariance(fit.covariance.data());
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> axes(covariance);
    return axes.eigenvectors() * axes.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
}

std::optional<Draw> drawn(const BalanceProblem& problem, const Solved& best, double noise_k, Drawer drawer) {
    Solved solved = solve(problem, drawnInputs(problem, best, drawer), &best);
    if (!solved.loss_known || solved.fit.has_value() != best.fit.has_value()) {
        return std::nullopt;
    }
    if (solved.fit) {
        const Eigen::Vector3d off =
            rootOf(*solved.fit) * Eigen::Vector3d(drawer.normal(), drawer.normal(), drawer.normal());
        solved.loss.coefficient_w_per_k *= std::exp(off[0]);
        solved.loss.exponent += off[1];
        solved.loss.shift_k += off[2];
        solved.released_j = releasedHeat(solved.pot, solved.course, solved.loss);
    }
    const double capacity = heatCapacityAt(solved.pot, solved.course, solved.course.size() - 1);
    return Draw{.released_j = solved.released_j.back() + capacity * noise_k * drawer.normal(),
                .loss_coefficient_w_per_k = solved.loss.coefficient_w_per_k,
                .heat_capacity_j_per_k = wholeHeatCapacity(solved.pot, solved.course),
                .unit = drawer.unit()};
}

} // namespace

DrawnBalances drawBalances(const BalanceProblem& problem, int count, std::uint64_t seed, int threads,
                           std::stop_token stop) {
    const Solved best = solve(problem, {}, nullptr);
    const double noise_k =
        signal::uncertaintyAtKnots(problem.curves->level, problem.lag_s.value, problem.curves->noise_k).back();
    std::vector<std::optional<Draw>> draws(static_cast<std::size_t>(std::max(0, count)));
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t i = next++; i < draws.size() && !stop.stop_requested(); i = next++) {
            draws[i] = drawn(problem, best, noise_k, Drawer(seed, i));
        }
    };
    {
        std::vector<std::jthread> others;
        for (int i = 1; i < threads; ++i) {
            others.emplace_back(work);
        }
        work();
    }
    DrawnBalances found;
    if (stop.stop_requested()) {
        return found;
    }
    for (const std::optional<Draw>& one : draws) {
        if (one) {
            found.released_j.push_back(one->released_j);
            found.loss_coefficient_w_per_k.push_back(one->loss_coefficient_w_per_k);
            found.heat_capacity_j_per_k.push_back(one->heat_capacity_j_per_k);
            found.unit.push_back(one->unit);
        }
    }
    return found;
}

} // namespace potwatch::heat
