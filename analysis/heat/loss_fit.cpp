// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/heat/loss_fit.h"

#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace potwatch::heat {

namespace {

constexpr double gas_constant_j_per_mol_k = 8.314462618; // exact by the SI
constexpr double kelvin_at_zero_c = 273.15;
constexpr double reference_k = 320.0; // middle of a cooling; keeps rate and energy nearly independent

constexpr double smallest_cooling_k = 4.0;
constexpr int most_bins = 150;
constexpr int fewest_bins = 16;
// Bins grow with time as the cooling slows: their edges go with this power of the bin's number.
constexpr double bin_growth = 1.5;
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

// Parameters of the fit, in the order of the vector.
enum Parameter : Eigen::Index {
    log_coefficient,
    exponent,
    shift,
    start_heat,
    log_residual, // heat still to come at from_s, per heat capacity [K]
    log_decay,    // initial decay rate at the reference temperature [1/s]
    log_order,    // n - 1
    energy_kj,
    parameter_count
};

struct Bin {
    double time_s = 0.0;
    double temperature_c = 0.0; // mean of the bin, corrected for lag and curvature
    double u_k = 0.0;
};

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

// Everything the residuals need, at the bins' middles.
class Cooling {
public:
    Cooling(const std::vector<Bin>& bins, const Pot& pot, const PotCourse& course, const LossFitSettings& settings)
        : settings_(settings)
        , scale_(heatCapacityNear(pot, course, bins.back().time_s)) {
        nodes_.time_s.reserve(bins.size());
        for (const Bin& bin : bins) {
            nodes_.time_s.push_back(bin.time_s);
        }
        nodes_.temperature_c =
            signal::hermite(course.time_s, course.temperature_c, course.slope_k_per_s, nodes_.time_s);
        nodes_.slope_k_per_s = signal::linear(course.time_s, course.slope_k_per_s, nodes_.time_s);
        nodes_.surroundings_c = signal::linear(course.time_s, course.surroundings_c, nodes_.time_s);
        nodes_.surroundings_slope_k_per_s =
            signal::linear(course.time_s, course.surroundings_slope_k_per_s, nodes_.time_s);
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

    [[nodiscard]] double scale() const { return scale_; }
    [[nodiscard]] std::size_t bins() const { return stored_.size(); }
    [[nodiscard]] double coolingK() const { return nodes_.temperature_c.front() - nodes_.temperature_c.back(); }
    [[nodiscard]] double warmthK() const { return nodes_.temperature_c.front() - nodes_.surroundings_c.front(); }

    // Heat of the residual cure up to each node [K], released by the law dR/dt = - decay g R^n with g from the
    // temperature.
    [[nodiscard]] std::vector<double> residualHeat(const Eigen::VectorXd& p) const {
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

    // Residuals of the bins, then of the priors, all in standard deviations.
    void residuals(const Eigen::VectorXd& p, bool residual_cure, Eigen::VectorXd& r) const {
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
    }

    [[nodiscard]] static Eigen::Index parameters(bool residual_cure) {
        return residual_cure ? parameter_count : log_residual;
    }
    [[nodiscard]] Eigen::Index values(bool residual_cure) const {
        return static_cast<Eigen::Index>(bins()) + parameters(residual_cure);
    }

private:
    static double heatCapacityNear(const Pot& pot, const PotCourse& course, double at_s) {
        const auto after = std::lower_bound(course.time_s.begin(), course.time_s.end(), at_s);
        const auto i = std::min(static_cast<std::size_t>(after - course.time_s.begin()), course.size() - 1);
        return heatCapacityAt(pot, course, i);
    }

    [[nodiscard]] double rateFactor(std::size_t i, double energy) const {
        const double temperature_k = nodes_.temperature_c[i] + kelvin_at_zero_c;
        return catalyst_[i] *
               std::exp(-energy * 1000.0 / gas_constant_j_per_mol_k * (1.0 / temperature_k - 1.0 / reference_k));
    }

    LossFitSettings settings_;
    double scale_ = 1.0;
    PotCourse nodes_;
    std::vector<double> stored_; // per scale_ [K]
    std::vector<double> weight_;
    std::vector<double> catalyst_;
};

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

struct Solution {
    Eigen::VectorXd parameters;
    Eigen::MatrixXd covariance;
    double chi_square = std::numeric_limits<double>::infinity();
};

std::optional<Solution> solve(const Cooling& cooling, bool residual_cure, const Eigen::VectorXd& start) {
    Eigen::NumericalDiff<Functor> functor{Functor{.cooling = &cooling, .residual_cure = residual_cure}};
    Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Functor>> search(functor);
    search.parameters.maxfev = 600;
    search.parameters.ftol = 1e-9;
    search.parameters.xtol = 1e-9;
    Solution solution{.parameters = start};
    const auto status = search.minimize(solution.parameters);
    if (status <= 0 || !solution.parameters.allFinite()) {
        return std::nullopt;
    }
    Eigen::MatrixXd jacobian(cooling.values(residual_cure), Cooling::parameters(residual_cure));
    if (functor.df(solution.parameters, jacobian) < 0) {
        return std::nullopt;
    }
    Eigen::VectorXd r(cooling.values(residual_cure));
    cooling.residuals(solution.parameters, residual_cure, r);
    solution.chi_square = r.squaredNorm();
    const Eigen::MatrixXd normal = jacobian.transpose() * jacobian;
    const Eigen::LDLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() != Eigen::Success || !factor.isPositive()) {
        return std::nullopt;
    }
    solution.covariance = factor.solve(Eigen::MatrixXd::Identity(normal.rows(), normal.cols()));
    return solution.covariance.allFinite() ? std::optional(solution) : std::nullopt;
}

LossFit fitOf(const Solution& best, const std::optional<Solution>& plain, const Cooling& cooling,
              const std::vector<Bin>& bins, const LossFitSettings& settings) {
    LossFit fit;
    fit.loss = {.coefficient_w_per_k = std::exp(best.parameters[log_coefficient]),
                .exponent = best.parameters[exponent],
                .shift_k = best.parameters[shift]};
    fit.from_s = bins.front().time_s;
    fit.to_s = bins.back().time_s;
    fit.bins = static_cast<int>(bins.size());
    fit.reduced_chi_square = best.chi_square / std::max(1.0, static_cast<double>(bins.size()));
    // A fit that is worse than the noise leaves more unknown than the noise says.
    const double inflation = std::max(1.0, fit.reduced_chi_square);
    for (Eigen::Index i = 0; i < 3; ++i) {
        for (Eigen::Index k = 0; k < 3; ++k) {
            fit.covariance[static_cast<std::size_t>(3 * i + k)] = inflation * best.covariance(i, k);
        }
    }
    if (settings.residual_cure) {
        fit.residual_heat_j = cooling.residualHeat(best.parameters).back() * cooling.scale();
        if (plain) {
            fit.residual_effect = best.parameters[log_coefficient] - plain->parameters[log_coefficient];
        }
    }
    fit.parameters.assign(best.parameters.begin(), best.parameters.end());
    return fit;
}

} // namespace

std::optional<LossFit> fitLoss(TraceView reading, double lag_s, const Pot& pot, const PotCourse& course,
                               const LossFitSettings& settings) {
    const std::vector<Bin> bins = binned(reading, lag_s, course, settings);
    if (bins.size() < fewest_bins) {
        return std::nullopt;
    }
    const Cooling cooling(bins, pot, course, settings);
    if (cooling.coolingK() < smallest_cooling_k) {
        return std::nullopt;
    }
    if (static_cast<Eigen::Index>(settings.start.size()) == Cooling::parameters(settings.residual_cure)) {
        const Eigen::Map<const Eigen::VectorXd> start(settings.start.data(),
                                                      static_cast<Eigen::Index>(settings.start.size()));
        const std::optional<Solution> found = solve(cooling, settings.residual_cure, start);
        return found ? std::optional(fitOf(*found, std::nullopt, cooling, bins, settings)) : std::nullopt;
    }
    // Without residual cure first: its answer starts the other.
    Eigen::VectorXd plain_start(Cooling::parameters(false));
    plain_start << std::log(cooling.scale() / 500.0), settings.exponent.mean, settings.shift_k.mean, 0.0;
    const std::optional<Solution> plain = solve(cooling, false, plain_start);
    std::optional<Solution> best = plain;
    if (settings.residual_cure) {
        best.reset();
        // Two starts do, unless the best of them leaves more than noise: then it may have ended in a side valley.
        for (std::size_t i = 0; i < residual_starts.size(); ++i) {
            if (i >= usual_starts && best && best->chi_square < poor_chi_square * static_cast<double>(bins.size())) {
                break;
            }
            Eigen::VectorXd start(Cooling::parameters(true));
            start.head(Cooling::parameters(false)) = plain ? plain->parameters : plain_start;
            start[log_coefficient] += residual_starts[i].log_coefficient;
            start[log_residual] = std::log(residual_starts[i].share * std::max(1.0, cooling.warmthK()));
            start[log_decay] = residual_starts[i].log_decay;
            start[log_order] = std::log(0.6);
            start[energy_kj] = 55.0;
            const std::optional<Solution> found = solve(cooling, true, start);
            if (found && (!best || found->chi_square < best->chi_square)) {
                best = found;
            }
        }
    }
    if (!best) {
        return std::nullopt;
    }
    return fitOf(*best, plain, cooling, bins, settings);
}

} // namespace potwatch::heat
