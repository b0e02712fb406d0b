// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/heat/loss_fit.h"

#include <Eigen/Dense>

#include <limits>
#include <optional>
#include <vector>

namespace potwatch::heat {

// Parameters of the fit, in the order of the vector.
enum CoolingParameter : Eigen::Index {
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

// The readings of a stretch in bins that grow with time as the cooling slows. lag_s corrects each bin's mean exactly.
[[nodiscard]] std::vector<Bin> binned(TraceView reading, double lag_s, const PotCourse& course,
                                      const LossFitSettings& settings);

// The lost heat of a whole course against exponent and shift, so that a fit can be held at one lost heat: its
// logarithm per loss coefficient, to second order about one point.
class LostHeat {
public:
    LostHeat(const PotCourse& course, double exponent, double shift_k);

    [[nodiscard]] bool positive() const { return positive_; } // false: the pot gains heat, all in all
    [[nodiscard]] double logAt(double exponent, double shift_k) const;
    [[nodiscard]] Eigen::Vector3d gradient() const; // of log_coefficient + logAt(), at the point it was made at

private:
    double exponent_;
    double shift_k_;
    bool positive_ = true;
    double value_ = 0.0;
    Eigen::Vector2d slope_ = Eigen::Vector2d::Zero();
    Eigen::Matrix2d bend_ = Eigen::Matrix2d::Zero();
};

// Everything the residuals of a cooling need, at the bins' middles.
class Cooling {
public:
    Cooling(const std::vector<Bin>& bins, const Pot& pot, const PotCourse& course, const LossFitSettings& settings);

    [[nodiscard]] double scale() const { return scale_; } // heat capacity at the end [J/K]
    [[nodiscard]] std::size_t bins() const { return stored_.size(); }
    [[nodiscard]] double coolingK() const { return nodes_.temperature_c.front() - nodes_.temperature_c.back(); }
    [[nodiscard]] double warmthK() const { return nodes_.temperature_c.front() - nodes_.surroundings_c.front(); }

    // Heat of the residual cure up to each node [K], released by the law dR/dt = - decay g R^n with g from the
    // temperature.
    [[nodiscard]] std::vector<double> residualHeat(const Eigen::VectorXd& p) const;

    // Residuals of the bins, then of the priors, last of the lost heat that is held; all in standard deviations.
    void residuals(const Eigen::VectorXd& p, bool residual_cure, Eigen::VectorXd& r) const;

    // Holds the logarithm of the lost heat [J] at a value.
    void hold(const LostHeat* lost, double log_lost_j);
    [[nodiscard]] bool holds() const { return held_ != nullptr; }

    [[nodiscard]] static Eigen::Index parameters(bool residual_cure) {
        return residual_cure ? static_cast<Eigen::Index>(parameter_count) : static_cast<Eigen::Index>(log_residual);
    }
    [[nodiscard]] Eigen::Index values(bool residual_cure) const {
        return static_cast<Eigen::Index>(bins()) + parameters(residual_cure) + (held_ != nullptr ? 1 : 0);
    }

private:
    [[nodiscard]] double rateFactor(std::size_t i, double energy) const;

    LossFitSettings settings_;
    double scale_ = 1.0;
    PotCourse nodes_;
    std::vector<double> stored_; // per scale_ [K]
    std::vector<double> weight_;
    std::vector<double> catalyst_;
    const LostHeat* held_ = nullptr;
    double held_at_ = 0.0;
};

struct CoolingSolution {
    Eigen::VectorXd parameters;
    Eigen::MatrixXd covariance;
    double chi_square = std::numeric_limits<double>::infinity(); // without what is held
};

// The least squares from a start; nothing where the search fails. The covariance only where it is wanted.
[[nodiscard]] std::optional<CoolingSolution> solveCooling(const Cooling& cooling, bool residual_cure,
                                                          const Eigen::VectorXd& start, bool with_covariance = true);

} // namespace potwatch::heat
