// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/balance_solution.h"

#include "analysis/heat/evaporation.h"
#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace potwatch::heat {

namespace {

// The longest step between nodes, as a share of the run, so that slow tails are integrated well.
constexpr double longest_step_share = 1.0 / 400.0;
constexpr double boil_rate_relative_u = 0.2;
constexpr double widest_shift = 2.0; // of the surroundings, in their standard uncertainties

// Nodes: the knots of the level, the kinks of dose and boiling, and a step limit.
std::vector<double> nodesFor(const BalanceProblem& problem, const landmarks::Course& course) {
    const double from_s = std::max(problem.from_s, course.time_s.front());
    const double to_s = std::min(problem.to_s, course.time_s.back());
    std::vector<double> nodes{from_s, to_s};
    const auto add = [&](double at_s) {
        if (at_s > from_s && at_s < to_s) {
            nodes.push_back(at_s);
        }
    };
    std::for_each(course.time_s.begin(), course.time_s.end(), add);
    for (const Stretch& stretch : problem.stretches) {
        add(stretch.from_s);
        add(stretch.to_s);
    }
    if (problem.pot.pour) {
        // The vessel stays behind within a moment.
        add(problem.pot.pour->at_s);
        add(problem.pot.pour->at_s + 1e-3);
    }
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

// Heat put in up to each node: the profile's own integral, since power is switched between the nodes.
void setHeater(PotCourse& course, const Profile& heater_w) {
    std::vector<double> times = course.time_s;
    times.insert(times.end(), heater_w.time_s.begin(), heater_w.time_s.end());
    std::sort(times.begin(), times.end());
    const std::vector<double> power_w = signal::linear(heater_w.time_s, heater_w.value, times);
    std::vector<double> put_in_j(times.size(), 0.0);
    for (std::size_t i = 1; i < times.size(); ++i) {
        put_in_j[i] = put_in_j[i - 1] + 0.5 * (times[i] - times[i - 1]) * (power_w[i] + power_w[i - 1]);
    }
    course.heater_j = signal::linear(times, put_in_j, course.time_s);
    const double before_j = course.heater_j.front();
    for (double& one : course.heater_j) {
        one -= before_j;
    }
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
    setHeater(pot_course, problem.heater_w);
    setLossFactors(pot_course, problem.stretches);
    for (std::size_t i = 1; i < n; ++i) {
        const double step_s = pot_course.time_s[i] - pot_course.time_s[i - 1];
        pot_course.surroundings_slope_k_per_s[i] =
            (pot_course.surroundings_c[i] - pot_course.surroundings_c[i - 1]) / step_s;
    }
    pot_course.evaporated_share.assign(n, 0.0);
    if (problem.plateau) {
        pot_course.evaporated_share = evaporatedShare(pot_course, *problem.plateau, problem.boiling_c);
    }
    return pot_course;
}

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

} // namespace

void setLossFactors(PotCourse& course, const std::vector<Stretch>& stretches) {
    course.loss_factor.clear();
    for (std::size_t i = 0; i < course.size() && !stretches.empty(); ++i) {
        const double middle_s = i > 0 ? 0.5 * (course.time_s[i - 1] + course.time_s[i]) : course.time_s[i];
        course.loss_factor.push_back(lossFactorAt(stretches, middle_s));
    }
}

Solved solve(const BalanceProblem& problem, const Varied& varied, const Solved* near) {
    Solved solved;
    const double lag_s = std::max(0.0, problem.lag_s.value + varied.lag_s);
    const landmarks::Course course = landmarks::courseOf(*problem.curves, lag_s);
    solved.course = courseFor(problem, course);
    solved.pot = problem.pot;
    solved.pot.heat_capacity_j_per_k += varied.heat_capacity_j_per_k;
    if (solved.pot.pour) {
        solved.pot.pour->mould_j_per_k += varied.mould_j_per_k;
    }
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
                                     .shift_limit_k = widest_shift * problem.surroundings_u_k,
                                     .noise_k = std::max(1e-6, problem.curves->noise_k),
                                     .profile = near == nullptr && known == nullptr};
            if (near != nullptr && near->own_cooling) {
                settings.start = near->own_cooling->parameters;
            }
            solved.own_cooling = fitLoss(problem.reading, lag_s, solved.pot, solved.course, settings);
            if (solved.own_cooling) {
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
        solved.pot.evaporated_g = varied.evaporated_g + (near != nullptr ? near->pot.evaporated_g : 0.0);
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
    if (!problem.plateau || problem.evaporation_weighed) {
        solved.pot.evaporated_g += varied.evaporated_g;
        findLoss();
    }
    solved.released_j = releasedHeat(solved.pot, solved.course, solved.loss);
    for (double& one : solved.released_j) {
        one += problem.before_j.value;
    }
    return solved;
}

} // namespace potwatch::heat
