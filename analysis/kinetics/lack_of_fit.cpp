// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/lack_of_fit.h"

#include "analysis/heat/pot.h"
#include "analysis/signal/smooth_curve.h"

#include <Eigen/Dense>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <thread>

namespace potwatch::kinetics {

namespace {

using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// A departure this far out of the noise is said: on 400 sets of the fit's own law none was.
constexpr double telling_sigma = 4.0;
constexpr double largest_condition = 1e-15;
// Part of a departure's usual size by which its slope is taken: the readings bend under a whole one.
constexpr double slope_step = 0.01;

// The heat that a departure of usual size leaves in a pot that goes as the fit has it [J]. Asked for in the order of
// time.
class LeftHeat {
public:
    LeftHeat(const PotRun& run, const std::array<double, pot_parameter_count>& p, const DegreeCourse& course,
             double middle_c, Departure departure)
        : course_(course)
        , departure_(departure)
        , middle_c_(middle_c)
        , charge_j_per_k_(run.charge_j_per_k.value * std::exp(p[log_charge]))
        , vessel_j_per_k_(run.vessel_j_per_k.value * std::exp(p[log_vessel]))
        , loss_w_per_k_(std::exp(p[log_loss]))
        , exponent_(p[loss_exponent])
        , shift_k_(p[shift])
        , time_s_(run.start_s)
        , temperature_c_(temperatureAt(run.start_s))
        , start_c_(temperature_c_)
        , degree_(run.start_degree) {
        const std::size_t n = course.time_s.size();
        for (std::size_t i = 0; i < n; ++i) {
            const std::size_t a = i > 0 ? i - 1 : 0;
            const std::size_t b = std::min(i + 1, n - 1);
            rate_k_per_s_.push_back((course.temperature_c[b] - course.temperature_c[a]) /
                                    (course.time_s[b] - course.time_s[a]));
        }
    }

    [[nodiscard]] double at(double time_s, double surroundings_c) {
        const double temperature_c = temperatureAt(time_s);
        const double degree = signal::linear(course_.time_s, course_.modelled, time_s);
        switch (departure_) {
        case warming_charge:
            left_j_ = -0.5 * charge_j_per_k_ * warming_share_per_k *
                      (std::pow(temperature_c - middle_c_, 2) - std::pow(start_c_ - middle_c_, 2));
            break;
        case curing_charge:
            left_j_ -=
                charge_j_per_k_ * curing_share * (0.5 * (degree + degree_) - 0.5) * (temperature_c - temperature_c_);
            break;
        default:
            left_j_ += behindUpTo(time_s, temperature_c, surroundings_c + shift_k_);
        }
        time_s_ = time_s;
        temperature_c_ = temperature_c;
        degree_ = degree;
        return left_j_;
    }

private:
    [[nodiscard]] double temperatureAt(double time_s) const {
        return signal::linear(course_.time_s, course_.temperature_c, time_s);
    }
    [[nodiscard]] double lossAt(double over_k) const {
        return share_through_vessel * loss_w_per_k_ * over_k *
               std::pow(std::max(std::abs(over_k), 0.05) / heat::reference_difference_k, exponent_);
    }

    // The vessel, behind the contents by what it takes up and what is lost through it, keeps heat back and loses less.
    double behindUpTo(double time_s, double temperature_c, double surroundings_c) {
        const double resistance = vessel_resistance / loss_w_per_k_;
        const double step_s = time_s - time_s_;
        const double rate = signal::linear(course_.time_s, rate_k_per_s_, time_s);
        const double settled_k =
            resistance * (vessel_j_per_k_ * rate + lossAt(temperature_c - surroundings_c - behind_k_));
        const double forgotten = vessel_j_per_k_ > 0.0 ? std::exp(-step_s / (resistance * vessel_j_per_k_)) : 0.0;
        const double next_k = settled_k + (behind_k_ - settled_k) * forgotten;
        const double middle_k = 0.5 * (behind_k_ + next_k);
        const double over_k = temperature_c - surroundings_c;
        const double kept_j =
            vessel_j_per_k_ * (next_k - behind_k_) + step_s * (lossAt(over_k) - lossAt(over_k - middle_k));
        behind_k_ = next_k;
        return kept_j;
    }

    const DegreeCourse& course_;
    Departure departure_;
    double middle_c_;
    double charge_j_per_k_;
    double vessel_j_per_k_;
    double loss_w_per_k_;
    double exponent_;
    double shift_k_;
    double time_s_;
    double temperature_c_;
    double start_c_;
    double degree_;
    std::vector<double> rate_k_per_s_;
    double behind_k_ = 0.0;
    double left_j_ = 0.0;
};

PotRun departed(const PotRun& run, LeftHeat heat) {
    PotRun other = run;
    double time_s = run.start_s;
    for (Step& step : other.steps) {
        step.middle.heater_j += slope_step * heat.at(time_s + 0.5 * step.duration_s, step.middle.surroundings_c);
        time_s += step.duration_s;
        step.end.heater_j += slope_step * heat.at(time_s, step.end.surroundings_c);
    }
    return other;
}

// How each departure moves the residuals of a run; empty where the model has no answer.
std::vector<std::vector<double>> departureSlopes(const PotRun& run, const std::array<double, pot_parameter_count>& p,
                                                 const PotSettings& settings, const DegreeCourse& course,
                                                 double middle_c) {
    // On the same steps, which may be finer than those of the fit.
    std::vector<double> here(run.bins.size());
    if (!potResiduals(run, p, settings, here, {})) {
        return {};
    }
    std::vector<std::vector<double>> slopes;
    for (std::size_t q = 0; q < departure_count; ++q) {
        const PotRun other = departed(run, LeftHeat(run, p, course, middle_c, static_cast<Departure>(q)));
        std::vector<double>& slope = slopes.emplace_back(run.bins.size());
        if (!potResiduals(other, p, settings, slope, {})) {
            return {};
        }
        for (std::size_t i = 0; i < slope.size(); ++i) {
            slope[i] = (slope[i] - here[i]) / slope_step;
        }
    }
    return slopes;
}

double middleOf(const std::vector<DegreeCourse>& courses) {
    double low_c = std::numeric_limits<double>::infinity();
    double high_c = -low_c;
    for (const DegreeCourse& course : courses) {
        const auto [low, high] = std::minmax_element(course.temperature_c.begin(), course.temperature_c.end());
        low_c = std::min(low_c, *low);
        high_c = std::max(high_c, *high);
    }
    return 0.5 * (low_c + high_c);
}

} // namespace

std::optional<Departure> LackOfFit::found() const {
    const auto most =
        std::max_element(sigma.begin(), sigma.end(), [](double a, double b) { return std::abs(a) < std::abs(b); });
    return std::abs(*most) > telling_sigma ? std::optional(static_cast<Departure>(most - sigma.begin())) : std::nullopt;
}

std::optional<LackOfFit> lackOfFit(const JointFit& fit, std::span<const PotRun> runs) {
    const auto rows = static_cast<Eigen::Index>(fit.weighed_residuals.size());
    const auto unknowns = static_cast<Eigen::Index>(fit.values.size());
    const Eigen::Index all = unknowns + static_cast<Eigen::Index>(departure_count);
    std::vector<DegreeCourse> courses;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        courses.push_back(degreeCourse(runs[r], fit.parametersOf(r), fit.settings));
        if (courses.back().time_s.size() < 3) {
            return std::nullopt;
        }
    }
    LackOfFit lack{.middle_c = middleOf(courses)};
    Matrix jacobian = Matrix::Zero(rows + static_cast<Eigen::Index>(departure_count), all);
    jacobian.topLeftCorner(rows, unknowns) = Eigen::Map<const Matrix>(fit.weighed_jacobian.data(), rows, unknowns);
    std::vector<Eigen::Index> first_row{0};
    for (const auto& of_run : fit.residuals) {
        first_row.push_back(first_row.back() + static_cast<Eigen::Index>(of_run.size()));
    }
    std::atomic<bool> answered = true;
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t r = next++; r < runs.size(); r = next++) {
            const auto slopes = departureSlopes(runs[r], fit.parametersOf(r), fit.settings, courses[r], lack.middle_c);
            for (std::size_t q = 0; q < slopes.size(); ++q) {
                const Eigen::Index column = unknowns + static_cast<Eigen::Index>(q);
                for (std::size_t i = 0; i < slopes[q].size(); ++i) {
                    jacobian(first_row[r] + static_cast<Eigen::Index>(i), column) = slopes[q][i] * fit.weights[r];
                }
            }
            answered = answered && !slopes.empty();
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    if (!answered) {
        return std::nullopt;
    }
    for (Eigen::Index q = 0; q < static_cast<Eigen::Index>(departure_count); ++q) {
        jacobian(rows + q, unknowns + q) = 1.0;
    }
    const Eigen::VectorXd scale = jacobian.colwise().norm().transpose();
    if (!(scale.minCoeff() > 0.0) || !scale.allFinite()) {
        return std::nullopt;
    }
    const Eigen::VectorXd inverse_scale = scale.cwiseInverse();
    const Matrix scaled = jacobian * inverse_scale.asDiagonal();
    const Eigen::MatrixXd normal = scaled.transpose() * scaled;
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(normal);
    if (eigen.info() != Eigen::Success ||
        !(eigen.eigenvalues()[0] > largest_condition * eigen.eigenvalues()[all - 1])) {
        return std::nullopt;
    }
    const Eigen::MatrixXd covariance =
        inverse_scale.asDiagonal() *
        (eigen.eigenvectors() * eigen.eigenvalues().cwiseInverse().asDiagonal() * eigen.eigenvectors().transpose()) *
        inverse_scale.asDiagonal();
    const Eigen::Map<const Eigen::VectorXd> residuals(fit.weighed_residuals.data(), rows);
    const Eigen::VectorXd slope = jacobian.topRows(rows).transpose() * residuals;
    // Where it would lead without the departures is no business of theirs.
    const Eigen::VectorXd own = -normal.topLeftCorner(unknowns, unknowns)
                                     .ldlt()
                                     .solve(inverse_scale.head(unknowns).cwiseProduct(slope.head(unknowns)));
    Eigen::VectorXd move = -covariance * slope;
    move.head(unknowns) -= inverse_scale.head(unknowns).cwiseProduct(own);
    lack.move.assign(move.data(), move.data() + all);
    for (Eigen::Index i = 0; i < all; ++i) {
        std::vector<double>& line = lack.covariance.emplace_back();
        for (Eigen::Index k = 0; k < all; ++k) {
            line.push_back(covariance(i, k));
        }
    }
    // Known to be 0 +- 1 beforehand, noise alone moves them by V - V V.
    const auto count = static_cast<Eigen::Index>(departure_count);
    const Eigen::MatrixXd v = covariance.bottomRightCorner(count, count);
    const Eigen::MatrixXd by_noise = v - v * v;
    for (std::size_t q = 0; q < departure_count; ++q) {
        const auto i = static_cast<Eigen::Index>(q);
        lack.sigma[q] = by_noise(i, i) > 0.0 ? move[unknowns + i] / std::sqrt(by_noise(i, i)) : 0.0;
    }
    return lack;
}

std::vector<std::vector<double>> widened(const LackOfFit& lack, std::size_t unknowns) {
    std::vector<std::vector<double>> covariance;
    for (std::size_t i = 0; i < unknowns; ++i) {
        std::vector<double>& row = covariance.emplace_back();
        for (std::size_t k = 0; k < unknowns; ++k) {
            row.push_back(lack.covariance[i][k] + lack.move[i] * lack.move[k]);
        }
    }
    return covariance;
}

std::string wordsFor(Departure departure) {
    const std::string what = departure == warming_charge ? "a specific heat of the charge that changes with temperature"
                             : departure == curing_charge ? "a specific heat of the charge that changes as it cures"
                                                          : "a vessel that is warmed slower than what is in it";
    return "the law and one heat capacity do not fit these runs: they agree better with " + what +
           "; the intervals of the law and of what is derived from it are widened for that";
}

} // namespace potwatch::kinetics
