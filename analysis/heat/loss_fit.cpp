// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/loss_fit.h"

#include "analysis/heat/cooling.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>

namespace potwatch::heat {

namespace {

constexpr double smallest_cooling_k = 4.0;
constexpr int fewest_bins = 16;
// Where the search for the residual cure begins: against the fit without it, as a share of the warmth, and how fast.
struct ResidualStart {
    double log_coefficient = 0.0;
    double share = 0.05;
    double log_decay = 0.0;
};
constexpr std::array<ResidualStart, 8> residual_starts{{{0.0, 0.05, -5.0},
                                                        {0.0, 0.05, -7.0},
                                                        {0.1, 0.2, -5.0},
                                                        {0.1, 0.2, -6.0},
                                                        {0.2, 0.3, -5.0},
                                                        {0.0, 0.05, -4.0},
                                                        {0.0, 0.02, -8.0},
                                                        {0.3, 0.5, -6.0}}};
constexpr std::size_t usual_starts = 2;
constexpr double poor_chi_square = 2.0; // reduced
// Over this reduced chi-square the residuals are looked at for what goes together in them.
constexpr double structured_chi_square = 1.3;
constexpr double most_together = 0.9;
constexpr int most_profile_steps = 7;
constexpr double longest_first_step = 0.5;
constexpr double open_beyond = 1.1; // three times the lost heat
constexpr double held_shift_share = 0.05;

// What a fit that is worse than the noise leaves unknown beyond what the noise says: a variance factor.
double inflationOf(const CoolingSolution& best, const Cooling& cooling, bool residual_cure) {
    Eigen::VectorXd r(cooling.values(residual_cure));
    cooling.residuals(best.parameters, residual_cure, r);
    const auto bins = static_cast<Eigen::Index>(cooling.bins());
    const double reduced = r.head(bins).squaredNorm() / static_cast<double>(bins);
    double inflation = std::max(1.0, best.chi_square / static_cast<double>(bins));
    if (reduced > structured_chi_square) {
        const double together =
            std::clamp(r.head(bins - 1).dot(r.segment(1, bins - 1)) / r.head(bins).squaredNorm(), 0.0, most_together);
        inflation *= (1.0 + together) / (1.0 - together);
    }
    return inflation;
}

// Along the profile to one side: how far the logarithm of the lost heat can go until the fit is worse by what 95 %
// allow. Source: profile likelihood, chi-square of one degree of freedom.
double profileTo(Cooling& cooling, const CoolingSolution& best, const LostHeat& lost, bool residual_cure,
                 double inflation, double step) {
    const double at = best.parameters[log_coefficient] + lost.logAt(best.parameters[exponent], best.parameters[shift]);
    const double allowed = coverage_factor_95 * coverage_factor_95;
    double away = step;
    Eigen::VectorXd start = best.parameters;
    double inside = 0.0;
    for (int i = 0; i < most_profile_steps; ++i) {
        cooling.hold(&lost, at + away);
        Eigen::VectorXd from = start;
        from[log_coefficient] += at + away - (from[log_coefficient] + lost.logAt(from[exponent], from[shift]));
        const auto found = solveCooling(cooling, residual_cure, from, false);
        cooling.hold(nullptr, 0.0);
        const double worse = found ? std::max(0.0, (found->chi_square - best.chi_square) / inflation) : 4.0 * allowed;
        if (worse > 0.6 * allowed && worse < 1.5 * allowed) {
            return away * std::sqrt(allowed / worse);
        }
        if (worse < allowed) {
            inside = away;
            start = found->parameters;
            if (std::abs(away) > open_beyond) {
                return std::copysign(std::numeric_limits<double>::infinity(), step);
            }
            away *= std::clamp(std::sqrt(allowed / std::max(worse, 1e-3)), 1.3, 2.5);
        } else {
            away = inside + (away - inside) * std::clamp(std::sqrt(allowed / worse), 0.3, 0.8);
        }
    }
    return away;
}

void profile(LossFit& fit, Cooling& cooling, const CoolingSolution& best, const PotCourse& course,
             const LossFitSettings& settings, double inflation) {
    const LostHeat lost(course, fit.loss.exponent, fit.loss.shift_k);
    if (!lost.positive()) {
        return;
    }
    const Eigen::Vector3d gradient = lost.gradient();
    const Eigen::Map<const Eigen::Matrix<double, 3, 3, Eigen::RowMajor>> covariance(fit.covariance.data());
    const double u = std::sqrt(std::max(1e-12, gradient.dot(covariance * gradient)));
    const double step = std::min(longest_first_step, coverage_factor_95 * u);
    fit.lost_above = profileTo(cooling, best, lost, settings.residual_cure, inflation, step);
    fit.lost_below = -profileTo(cooling, best, lost, settings.residual_cure, inflation, -step);
}

LossFit fitOf(const CoolingSolution& best, const std::optional<CoolingSolution>& plain, const Cooling& cooling,
              const std::vector<Bin>& bins, const LossFitSettings& settings, double inflation) {
    LossFit fit;
    fit.loss = {.coefficient_w_per_k = std::exp(best.parameters[log_coefficient]),
                .exponent = best.parameters[exponent],
                .shift_k = best.parameters[shift]};
    fit.from_s = bins.front().time_s;
    fit.to_s = bins.back().time_s;
    fit.bins = static_cast<int>(bins.size());
    fit.reduced_chi_square = best.chi_square / std::max(1.0, static_cast<double>(bins.size()));
    for (Eigen::Index i = 0; i < 3; ++i) {
        for (Eigen::Index k = 0; k < 3; ++k) {
            fit.covariance[static_cast<std::size_t>(3 * i + k)] = inflation * best.covariance(i, k);
        }
    }
    if (settings.residual_cure) {
        fit.residual_heat_j = cooling.residualHeat(best.parameters).back() * cooling.scale();
        if (plain) {
            fit.residual_effect = best.parameters[log_coefficient] - plain->parameters[log_coefficient];
            fit.without_residual = {.coefficient_w_per_k = std::exp(plain->parameters[log_coefficient]),
                                    .exponent = plain->parameters[exponent],
                                    .shift_k = plain->parameters[shift]};
        }
    }
    fit.parameters.assign(best.parameters.begin(), best.parameters.end());
    return fit;
}

} // namespace

namespace {

std::optional<CoolingSolution> bestOf(const Cooling& cooling, const LossFitSettings& settings,
                                      std::optional<CoolingSolution>& plain) {
    if (static_cast<Eigen::Index>(settings.start.size()) == Cooling::parameters(settings.residual_cure)) {
        const Eigen::Map<const Eigen::VectorXd> start(settings.start.data(),
                                                      static_cast<Eigen::Index>(settings.start.size()));
        return solveCooling(cooling, settings.residual_cure, start);
    }
    // Without residual cure first: its answer starts the other.
    Eigen::VectorXd plain_start(Cooling::parameters(false));
    plain_start << std::log(cooling.scale() / 500.0), settings.exponent.mean, settings.shift_k.mean, 0.0;
    plain = solveCooling(cooling, false, plain_start);
    std::optional<CoolingSolution> best = plain;
    if (settings.residual_cure) {
        best.reset();
        // Two starts do, unless the best of them leaves more than noise: then it may have ended in a side valley.
        for (std::size_t i = 0; i < residual_starts.size(); ++i) {
            if (i >= usual_starts && best && best->chi_square < poor_chi_square * static_cast<double>(cooling.bins())) {
                break;
            }
            Eigen::VectorXd start(Cooling::parameters(true));
            start.head(Cooling::parameters(false)) = plain ? plain->parameters : plain_start;
            start[log_coefficient] += residual_starts[i].log_coefficient;
            start[log_residual] = std::log(residual_starts[i].share * std::max(1.0, cooling.warmthK()));
            start[log_decay] = residual_starts[i].log_decay;
            start[log_order] = std::log(0.6);
            start[energy_kj] = 55.0;
            const std::optional<CoolingSolution> found = solveCooling(cooling, true, start);
            if (found && (!best || found->chi_square < best->chi_square)) {
                best = found;
            }
        }
    }
    return best;
}

} // namespace

std::optional<LossFit> fitLoss(TraceView reading, double lag_s, const Pot& pot, const PotCourse& course,
                               const LossFitSettings& settings) {
    const std::vector<Bin> bins = binned(reading, lag_s, course, settings);
    if (bins.size() < fewest_bins) {
        return std::nullopt;
    }
    Cooling cooling(bins, pot, course, settings);
    if (cooling.coolingK() < smallest_cooling_k) {
        return std::nullopt;
    }
    std::optional<CoolingSolution> plain;
    std::optional<CoolingSolution> best = bestOf(cooling, settings, plain);
    bool shift_held = false;
    if (best && std::abs(best->parameters[shift] - settings.shift_k.mean) > settings.shift_limit_k) {
        // The surroundings stay within what is stated of them; what the fit then misses widens it.
        LossFitSettings held = settings;
        held.shift_k.mean += std::copysign(settings.shift_limit_k, best->parameters[shift] - settings.shift_k.mean);
        held.shift_k.u *= held_shift_share;
        held.start.clear();
        cooling = Cooling(bins, pot, course, held);
        best = bestOf(cooling, held, plain);
        shift_held = true;
    }
    if (!best) {
        return std::nullopt;
    }
    const double inflation = inflationOf(*best, cooling, settings.residual_cure);
    LossFit fit = fitOf(*best, plain, cooling, bins, settings, inflation);
    fit.shift_held = shift_held;
    if (settings.profile) {
        profile(fit, cooling, *best, course, settings, inflation);
    }
    return fit;
}

} // namespace potwatch::heat
