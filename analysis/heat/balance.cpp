// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/balance.h"

#include "analysis/heat/evaporation.h"
#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace potwatch::heat {

namespace {

constexpr double shortest_time_constant_s = 100.0;
// The longest step between nodes, as a share of the run, so that slow tails are integrated well.
constexpr double longest_step_share = 1.0 / 400.0;
constexpr double boil_rate_relative_u = 0.2;

// Nodes: the knots of the level, the kinks of dose and boiling, and a step limit.
std::vector<double> nodesFor(const BalanceProblem& problem, const landmarks::Course& course) {
    const double from_s = course.time_s.front();
    const double to_s = course.time_s.back();
    std::vector<double> nodes = course.time_s;
    const auto add = [&](double at_s) {
        if (at_s > from_s && at_s < to_s) {
            nodes.push_back(at_s);
        }
    };
    if (problem.pot.dose) {
        std::for_each(problem.pot.dose->time_s.begin(), problem.pot.dose->time_s.end(), add);
    }
    if (problem.plateau) {
        add(problem.plateau->start_s);
        add(problem.plateau->end_s);
    }
    const double step_s = (to_s - from_s) * longest_step_share;
    for (double at_s = from_s + step_s; at_s < to_s; at_s += step_s) {
        add(at_s);
    }
    std::sort(nodes.begin(), nodes.end());
    const double smallest_s = 1e-6 * (to_s - from_s);
    nodes.erase(std::unique(nodes.begin(), nodes.end(), [&](double a, double b) { return b - a < smallest_s; }),
                nodes.end());
    return nodes;
}

PotCourse courseFor(const BalanceProblem& problem, const landmarks::Course& course) {
    PotCourse pot_course;
    pot_course.time_s = nodesFor(problem, course);
    const std::size_t n = pot_course.size();
    pot_course.temperature_c =
        signal::hermite(course.time_s, course.temperature_c, course.slope_k_per_s, pot_course.time_s);
    pot_course.slope_k_per_s = signal::linear(course.time_s, course.slope_k_per_s, pot_course.time_s);
    pot_course.surroundings_c =
        signal::linear(problem.surroundings_c.time_s, problem.surroundings_c.value, pot_course.time_s);
    pot_course.surroundings_slope_k_per_s.assign(n, 0.0);
    pot_course.heater_j.assign(n, 0.0);
    const std::vector<double> heater_w =
        signal::linear(problem.heater_w.time_s, problem.heater_w.value, pot_course.time_s);
    for (std::size_t i = 1; i < n; ++i) {
        const double step_s = pot_course.time_s[i] - pot_course.time_s[i - 1];
        pot_course.heater_j[i] = pot_course.heater_j[i - 1] + 0.5 * step_s * (heater_w[i] + heater_w[i - 1]);
        pot_course.surroundings_slope_k_per_s[i] =
            (pot_course.surroundings_c[i] - pot_course.surroundings_c[i - 1]) / step_s;
    }
    pot_course.evaporated_share.assign(n, 0.0);
    if (problem.plateau) {
        pot_course.evaporated_share = evaporatedShare(pot_course, *problem.plateau, problem.boiling_c);
    }
    return pot_course;
}

// One solution for one set of inputs.
struct Solved {
    PotCourse course;
    Pot pot;
    Loss loss;
    bool loss_known = false;
    std::optional<LossFit> own_cooling; // the fit before anything from elsewhere was added
    std::optional<LossFit> fit;
    Uncertain evaporated_g;
    std::vector<double> released_j;
};

struct Varied {
    double heat_capacity_j_per_k = 0.0; // added
    double lag_s = 0.0;                 // added
    double evaporated_g = 0.0;          // added
    double shift_k = 0.0;               // added to the surroundings
    double log_loss = 0.0;              // added to the loss taken as it stands
    double exponent = 0.0;
};

// The fit of the own cooling together with what is known from elsewhere: a normal update of ln(coefficient), exponent
// and shift, in which the model of the residual cure weighs as an uncertainty of the own cooling. Source: JCGM
// 101:2008, 6.2 (Bayes' theorem); for normal distributions the update of a linear filter.
LossFit learn(LossFit fit, const KnownLoss& known, double log_shift) {
    Eigen::Map<Eigen::Matrix<double, 3, 3, Eigen::RowMajor>> covariance(fit.covariance.data());
    Eigen::Vector3d mean(std::log(fit.loss.coefficient_w_per_k), fit.loss.exponent, fit.loss.shift_k);
    const std::array<double, 2> value{std::log(known.loss.coefficient_w_per_k) + log_shift, known.loss.exponent};
    const std::array<double, 2> u{known.log_u, std::max(1e-3, known.exponent_u)};
    for (Eigen::Index k = 0; k < 2; ++k) {
        const Eigen::Vector3d column = covariance.col(k);
        const double spread = column[k] + u[static_cast<std::size_t>(k)] * u[static_cast<std::size_t>(k)];
        mean += column / spread * (value[static_cast<std::size_t>(k)] - mean[k]);
        covariance -= column * column.transpose() / spread;
    }
    fit.loss = {.coefficient_w_per_k = std::exp(mean[0]), .exponent = mean[1], .shift_k = mean[2]};
    return fit;
}

Solved solve(const BalanceProblem& problem, const Varied& varied, const Solved* near) {
    Solved solved;
    const double lag_s = std::max(0.0, problem.lag_s.value + varied.lag_s);
    const landmarks::Course course = landmarks::courseOf(*problem.curves, lag_s);
    solved.course = courseFor(problem, course);
    solved.pot = problem.pot;
    solved.pot.heat_capacity_j_per_k += varied.heat_capacity_j_per_k;
    solved.evaporated_g = {problem.pot.evaporated_g, problem.evaporated_u_g};

    const KnownLoss* known = problem.known_loss ? &*problem.known_loss : nullptr;
    const bool fits = problem.cooling_from_s && (known == nullptr || known->own_cooling_too);
    const auto findLoss = [&] {
        if (fits) {
            LossFitSettings settings{.from_s = *problem.cooling_from_s,
                                     .to_s = problem.cooling_to_s,
                                     .residual_cure = problem.residual_cure,
                                     .exponent = problem.exponent,
                                     .shift_k = {varied.shift_k, problem.surroundings_u_k},
                                     .noise_k = std::max(1e-6, problem.curves->noise_k)};
            if (near != nullptr && near->own_cooling) {
                settings.start = near->own_cooling->parameters;
            }
            solved.own_cooling = fitLoss(problem.reading, lag_s, solved.pot, solved.course, settings);
            if (solved.own_cooling) {
                solved.own_cooling->covariance[0] += problem.loss_extra_log_u * problem.loss_extra_log_u;
                if (near != nullptr && near->own_cooling) {
                    // A variation moves the answer; how well it is known stays the same.
                    solved.own_cooling->covariance = near->own_cooling->covariance;
                }
                solved.fit = solved.own_cooling;
                if (known != nullptr) {
                    solved.fit = learn(*solved.fit, *known, varied.log_loss);
                }
            }
        }
        if (solved.fit) {
            solved.loss = solved.fit->loss;
            solved.loss_known = true;
        } else if (known != nullptr) {
            solved.loss = known->loss;
            solved.loss.coefficient_w_per_k *= std::exp(varied.log_loss);
            solved.loss.exponent += varied.exponent;
            solved.loss.shift_k += varied.shift_k;
            solved.loss_known = true;
        }
    };
    if (problem.plateau && !problem.evaporation_weighed) {
        solved.pot.evaporated_g = near != nullptr ? near->pot.evaporated_g : 0.0;
        findLoss();
        if (solved.loss_known && near == nullptr) {
            // Loss and steam depend a little on each other: twice around.
            for (int round = 0; round < 2; ++round) {
                EvaporationEstimate estimate =
                    estimateEvaporation(solved.pot, solved.course, course, solved.loss, *problem.plateau);
                if (problem.boil_g_per_s_k) {
                    double above_k_s = 0.0;
                    for (std::size_t i = 1; i < solved.course.size(); ++i) {
                        above_k_s +=
                            (solved.course.time_s[i] - solved.course.time_s[i - 1]) *
                            std::max(0.0, 0.5 * (solved.course.temperature_c[i] + solved.course.temperature_c[i - 1]) -
                                              problem.boiling_c);
                    }
                    const double boiled_g = *problem.boil_g_per_s_k * above_k_s;
                    estimate = {boiled_g, boil_rate_relative_u * boiled_g};
                }
                solved.pot.evaporated_g = estimate.evaporated_g;
                solved.evaporated_g = {estimate.evaporated_g, estimate.u_g};
                findLoss();
            }
        } else if (near != nullptr) {
            solved.evaporated_g = near->evaporated_g;
        }
    }
    if (varied.evaporated_g != 0.0 || !problem.plateau || problem.evaporation_weighed) {
        solved.pot.evaporated_g += varied.evaporated_g;
        findLoss();
    }
    solved.released_j = releasedHeat(solved.pot, solved.course, solved.loss);
    return solved;
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
                gradient[k][i] = step[k] > 0.0 ? (gradient[k][i] - best.released_j[i]) / step[k] : 0.0;
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
        result.loss_from.push_back(
            {"cooling", best.loss.coefficient_w_per_k * std::sqrt(cov[0]), Distribution::normal});
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
    if (!best.loss_known) {
        const Loss fastest{.coefficient_w_per_k = best.pot.heat_capacity_j_per_k / shortest_time_constant_s};
        result.released_high_j = releasedHeat(best.pot, best.course, fastest).back();
    }
    return result;
}

} // namespace potwatch::heat
