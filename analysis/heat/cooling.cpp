// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/cooling.h"

#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace potwatch::heat {

namespace {

constexpr double gas_constant_j_per_mol_k = 8.314462618; // exact by the SI
constexpr double kelvin_at_zero_c = 273.15;
constexpr double reference_k = 320.0; // middle of a cooling; keeps rate and energy nearly independent
constexpr int most_bins = 150;
// Bins grow with time as the cooling slows: their edges go with this power of the bin's number.
constexpr double bin_growth = 1.5;
constexpr double held_u = 2e-4; // of the logarithm of a lost heat that is held
constexpr double exponent_step = 0.1;
constexpr double shift_step_k = 0.3;

double heatCapacityNear(const Pot& pot, const PotCourse& course, double at_s) {
    const auto after = std::lower_bound(course.time_s.begin(), course.time_s.end(), at_s);
    const auto i = std::min(static_cast<std::size_t>(after - course.time_s.begin()), course.size() - 1);
    return heatCapacityAt(pot, course, i);
}

} // namespace

std::vector<Bin> binned(TraceView reading, double lag_s, const PotCourse& course, const LossFitSettings& settings) {
    std::vector<std::size_t> inside;
    for (std::size_t i = 0; i < reading.size(); ++i) {
        if (reading.time_s[i] >= settings.from_s && reading.time_s[i] <= settings.to_s &&
            std::isfinite(reading.value[i])) {
            inside.push_back(i);
        }
    }
    std::vector<Bin> bins;
    const double n = static_cast<double>(inside.size());
    std::size_t first = 0;
    for (int k = 1; k <= most_bins && first < inside.size(); ++k) {
        const auto last = static_cast<std::size_t>(std::llround(std::pow(double(k) / most_bins, bin_growth) * n));
        if (last <= first) {
            continue;
        }
        double sum_t = 0.0;
        double sum_y = 0.0;
        for (std::size_t i = first; i < last; ++i) {
            sum_t += reading.time_s[inside[i]];
            sum_y += reading.value[inside[i]];
        }
        const double count = static_cast<double>(last - first);
        Bin bin{.time_s = sum_t / count, .u_k = settings.noise_k / std::sqrt(count)};
        const double width_s = reading.time_s[inside[last - 1]] - reading.time_s[inside[first]];
        const auto slopeAt = [&](double at_s) { return signal::linear(course.time_s, course.slope_k_per_s, at_s); };
        // Mean over the bin to value at its middle: w²/24 T''. The reading lags by lag dTm/dt, with dTm/dt = (T -
        // Tm)/lag about the resin's own slope while it cools slowly.
        const double curvature =
            width_s > 0.0 ? (slopeAt(bin.time_s + 0.5 * width_s) - slopeAt(bin.time_s - 0.5 * width_s)) / width_s : 0.0;
        const double reading_slope = slopeAt(bin.time_s) - lag_s * curvature;
        bin.temperature_c = sum_y / count + lag_s * reading_slope - width_s * width_s / 24.0 * curvature;
        bins.push_back(bin);
        first = last;
    }
    return bins;
}

Cooling::Cooling(const std::vector<Bin>& bins, const Pot& pot, const PotCourse& course, const LossFitSettings& settings)
    : settings_(settings)
    , scale_(heatCapacityNear(pot, course, bins.back().time_s)) {
    nodes_.time_s.reserve(bins.size());
    for (const Bin& bin : bins) {
        nodes_.time_s.push_back(bin.time_s);
    }
    nodes_.temperature_c = signal::hermite(course.time_s, course.temperature_c, course.slope_k_per_s, nodes_.time_s);
    nodes_.slope_k_per_s = signal::linear(course.time_s, course.slope_k_per_s, nodes_.time_s);
    nodes_.surroundings_c = signal::linear(course.time_s, course.surroundings_c, nodes_.time_s);
    nodes_.surroundings_slope_k_per_s = signal::linear(course.time_s, course.surroundings_slope_k_per_s, nodes_.time_s);
    nodes_.heater_j = signal::linear(course.time_s, course.heater_j, nodes_.time_s);
    nodes_.evaporated_share = signal::linear(course.time_s, course.evaporated_share, nodes_.time_s);

    // What the readings say is stored: the same nodes with the bins' own temperatures, all from one zero.
    PotCourse measured = nodes_;
    const double zero_c = nodes_.temperature_c[0];
    for (std::size_t i = 0; i < bins.size(); ++i) {
        measured.temperature_c[i] = bins[i].temperature_c;
    }
    measured.temperature_c[0] = zero_c;
    stored_ = storedHeat(pot, measured);
    stored_[0] = heatCapacityAt(pot, nodes_, 0) * (bins[0].temperature_c - zero_c);
    weight_.resize(bins.size());
    for (std::size_t i = 0; i < bins.size(); ++i) {
        stored_[i] = (stored_[i] - (nodes_.heater_j[i] - nodes_.heater_j[0])) / scale_;
        weight_[i] = scale_ / (heatCapacityAt(pot, nodes_, i) * bins[i].u_k);
    }
    // Catalyst against its final amount; where nothing is dosed it does not change.
    catalyst_.assign(bins.size(), 1.0);
    if (pot.dose && pot.dose->totalG() > 0.0) {
        for (std::size_t i = 0; i < bins.size(); ++i) {
            catalyst_[i] = pot.dose->dosedAt(nodes_.time_s[i]) / pot.dose->totalG();
        }
    }
}

std::vector<double> Cooling::residualHeat(const Eigen::VectorXd& p) const {
    std::vector<double> heat(bins(), 0.0);
    const double order = std::exp(p[log_order]);
    const double total = std::exp(p[log_residual]);
    const double decay = std::exp(p[log_decay]);
    double integral = 0.0;
    double last = rateFactor(0, p[energy_kj]);
    for (std::size_t i = 1; i < heat.size(); ++i) {
        const double now = rateFactor(i, p[energy_kj]);
        integral += 0.5 * (last + now) * (nodes_.time_s[i] - nodes_.time_s[i - 1]);
        last = now;
        heat[i] = total * (1.0 - std::pow(1.0 + order * decay * integral, -1.0 / order));
    }
    return heat;
}

void Cooling::residuals(const Eigen::VectorXd& p, bool residual_cure, Eigen::VectorXd& r) const {
    const std::vector<double> lost = lossIntegral(nodes_, p[exponent], p[shift]);
    const std::vector<double> released = residual_cure ? residualHeat(p) : std::vector<double>(bins(), 0.0);
    const double rate = std::exp(p[log_coefficient]) / scale_;
    for (std::size_t i = 0; i < bins(); ++i) {
        r[static_cast<Eigen::Index>(i)] = weight_[i] * (stored_[i] - p[start_heat] + rate * lost[i] - released[i]);
    }
    auto k = static_cast<Eigen::Index>(bins());
    const auto prior = [&](double value, const Prior& known) { r[k++] = (value - known.mean) / known.u; };
    prior(p[exponent], settings_.exponent);
    prior(p[shift], settings_.shift_k);
    prior(p[start_heat], {0.0, 5.0});
    // A loss that is not known beforehand: time constant 17 min within a factor of 20 (one standard deviation).
    prior(p[log_coefficient], {std::log(scale_ / 1000.0), 3.0});
    if (residual_cure) {
        prior(p[log_residual], {std::log(0.05 * std::max(1.0, warmthK())), 3.0});
        prior(p[log_decay], {-6.0, 3.0});
        prior(p[log_order], {std::log(0.6), 0.6});
        prior(p[energy_kj], {55.0, 12.0});
    }
    if (held_ != nullptr) {
        r[k++] = (p[log_coefficient] + held_->logAt(p[exponent], p[shift]) - held_at_) / held_u;
    }
}

double Cooling::rateFactor(std::size_t i, double energy) const {
    const double temperature_k = nodes_.temperature_c[i] + kelvin_at_zero_c;
    return catalyst_[i] *
           std::exp(-energy * 1000.0 / gas_constant_j_per_mol_k * (1.0 / temperature_k - 1.0 / reference_k));
}

LostHeat::LostHeat(const PotCourse& course, double exponent, double shift_k)
    : exponent_(exponent)
    , shift_k_(shift_k) {
    const auto at = [&](double exponents, double shifts) {
        const double lost =
            lossIntegral(course, exponent + exponents * exponent_step, shift_k + shifts * shift_step_k).back();
        positive_ = positive_ && lost > 0.0;
        return std::log(std::max(lost, 1e-300));
    };
    value_ = at(0.0, 0.0);
    const double more_x = at(1.0, 0.0);
    const double less_x = at(-1.0, 0.0);
    const double more_s = at(0.0, 1.0);
    const double less_s = at(0.0, -1.0);
    const double both = at(1.0, 1.0);
    slope_ = {0.5 * (more_x - less_x), 0.5 * (more_s - less_s)};
    const double cross = both - more_x - more_s + value_;
    bend_ << more_x + less_x - 2.0 * value_, cross, cross, more_s + less_s - 2.0 * value_;
}

double LostHeat::logAt(double exponent, double shift_k) const {
    const Eigen::Vector2d away((exponent - exponent_) / exponent_step, (shift_k - shift_k_) / shift_step_k);
    return value_ + slope_.dot(away) + 0.5 * away.dot(bend_ * away);
}

Eigen::Vector3d LostHeat::gradient() const {
    return {1.0, slope_[0] / exponent_step, slope_[1] / shift_step_k};
}

void Cooling::hold(const LostHeat* lost, double log_lost_j) {
    held_ = lost;
    held_at_ = log_lost_j;
}

namespace {

struct Functor {
    using Scalar = double;
    enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
    using InputType = Eigen::VectorXd;
    using ValueType = Eigen::VectorXd;
    using JacobianType = Eigen::MatrixXd;

    const Cooling* cooling = nullptr;
    bool residual_cure = true;

    [[nodiscard]] int inputs() const { return static_cast<int>(Cooling::parameters(residual_cure)); }
    [[nodiscard]] int values() const { return static_cast<int>(cooling->values(residual_cure)); }
    int operator()(const Eigen::VectorXd& p, Eigen::VectorXd& r) const {
        cooling->residuals(p, residual_cure, r);
        return r.allFinite() ? 0 : -1;
    }
};

} // namespace

std::optional<CoolingSolution> solveCooling(const Cooling& cooling, bool residual_cure, const Eigen::VectorXd& start,
                                            bool with_covariance) {
    Eigen::NumericalDiff<Functor> functor{Functor{.cooling = &cooling, .residual_cure = residual_cure}};
    Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Functor>> search(functor);
    search.parameters.maxfev = 600;
    search.parameters.ftol = 1e-9;
    search.parameters.xtol = 1e-9;
    CoolingSolution solution{.parameters = start};
    const auto status = search.minimize(solution.parameters);
    if (status <= 0 || !solution.parameters.allFinite()) {
        return std::nullopt;
    }
    Eigen::VectorXd r(cooling.values(residual_cure));
    cooling.residuals(solution.parameters, residual_cure, r);
    solution.chi_square = r.head(r.size() - (cooling.holds() ? 1 : 0)).squaredNorm();
    if (!with_covariance) {
        return solution;
    }
    Eigen::MatrixXd jacobian(cooling.values(residual_cure), Cooling::parameters(residual_cure));
    if (functor.df(solution.parameters, jacobian) < 0) {
        return std::nullopt;
    }
    const Eigen::MatrixXd normal = jacobian.transpose() * jacobian;
    const Eigen::LDLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() != Eigen::Success || !factor.isPositive()) {
        return std::nullopt;
    }
    solution.covariance = factor.solve(Eigen::MatrixXd::Identity(normal.rows(), normal.cols()));
    return solution.covariance.allFinite() ? std::optional(solution) : std::nullopt;
}

} // namespace potwatch::heat
