// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/least_squares.h"

#include <Eigen/Dense>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <ceres/cost_function.h>
#include <ceres/iteration_callback.h>
#include <ceres/problem.h>
#include <ceres/solver.h>
#include <cmath>
#include <glog/logging.h>
#include <memory>
#include <mutex>
#include <optional>
#include <utility>

namespace potwatch::kinetics {

namespace {

// The condition number of the scaled J^T J from which on its inverse is rounding.
constexpr double largest_condition = 1e15;
// Minima that differ by less are one (a model's mirror images, for one): the first found stands.
constexpr double equal_minima = 1e-9;
constexpr double rounding = 1e-13; // of a sum of squares

class Cost final : public ceres::CostFunction {
public:
    explicit Cost(const LeastSquares& problem)
        : problem_(problem) {
        set_num_residuals(static_cast<int>(problem.residuals));
        mutable_parameter_block_sizes()->push_back(static_cast<int>(problem.parameters));
    }

    bool Evaluate(const double* const* parameters, double* residuals, double** jacobians) const override {
        const std::span<double> jacobian =
            jacobians != nullptr && jacobians[0] != nullptr
                ? std::span<double>(jacobians[0], problem_.residuals * problem_.parameters)
                : std::span<double>();
        return problem_.evaluate({parameters[0], problem_.parameters}, {residuals, problem_.residuals}, jacobian);
    }

private:
    const LeastSquares& problem_;
};

class StopAsked final : public ceres::IterationCallback {
public:
    explicit StopAsked(std::stop_token stop)
        : stop_(std::move(stop)) {}
    ceres::CallbackReturnType operator()(const ceres::IterationSummary& /*summary*/) override {
        return stop_.stop_requested() ? ceres::SOLVER_ABORT : ceres::SOLVER_CONTINUE;
    }

private:
    std::stop_token stop_;
};

// A way of searching.
struct Way {
    ceres::TrustRegionStrategyType strategy = ceres::LEVENBERG_MARQUARDT;
    double first_radius = 1e4; // of the trust region; a wide one may leap over a minimum nearby
};

struct Search {
    std::vector<double> parameters;
    double sum_of_squares = 0.0;
    int iterations = 0;
    bool arrived = false;
    std::string message;
};

// The solver writes to standard error where a search ends without an answer; that is a fault here, not a line there.
// Once, as two fits may search side by side.
void quiet() {
    static std::once_flag said;
    std::call_once(said, [] { FLAGS_minloglevel = google::GLOG_FATAL; });
}

Search searchFrom(const LeastSquares& problem, const std::vector<double>& start, const LeastSquaresSettings& settings,
                  const Way& way) {
    Search search{.parameters = start};
    for (std::size_t i = 0; i < start.size(); ++i) {
        if (!problem.lower.empty()) {
            search.parameters[i] = std::clamp(start[i], problem.lower[i], problem.upper[i]);
        }
    }
    ceres::Problem::Options ownership;
    ownership.disable_all_safety_checks = false;
    ceres::Problem ceres_problem(ownership);
    ceres_problem.AddResidualBlock(new Cost(problem), nullptr, search.parameters.data()); // the problem deletes it
    for (std::size_t i = 0; i < problem.lower.size(); ++i) {
        const int index = static_cast<int>(i);
        ceres_problem.SetParameterLowerBound(search.parameters.data(), index, problem.lower[i]);
        ceres_problem.SetParameterUpperBound(search.parameters.data(), index, problem.upper[i]);
    }
    StopAsked stop_asked(settings.stop);
    ceres::Solver::Options options;
    options.trust_region_strategy_type = way.strategy;
    options.initial_trust_region_radius = way.first_radius;
    options.linear_solver_type = settings.thorough ? ceres::DENSE_QR : ceres::DENSE_NORMAL_CHOLESKY;
    options.max_num_iterations = settings.most_iterations;
    options.function_tolerance = settings.function_tolerance;
    options.parameter_tolerance = settings.parameter_tolerance;
    options.gradient_tolerance = settings.gradient_tolerance;
    options.logging_type = ceres::SILENT;
    options.callbacks.push_back(&stop_asked);
    ceres::Solver::Summary summary;
    quiet();
    ceres::Solve(options, &ceres_problem, &summary);
    const bool counts = summary.termination_type == ceres::CONVERGENCE ||
                        (settings.unfinished_counts && summary.termination_type == ceres::NO_CONVERGENCE);
    search.arrived = counts && std::isfinite(summary.final_cost);
    search.sum_of_squares = 2.0 * summary.final_cost;
    search.iterations = static_cast<int>(summary.iterations.size());
    search.message = summary.termination_type == ceres::NO_CONVERGENCE
                         ? fmt::format("no minimum after {} steps", settings.most_iterations)
                         : "the model has no answer where the search led";
    return search;
}

// A trust region stops where the sum of squares no longer falls, which leaves a parameter half of its digits; the last
// steps are the plain ones.
void polish(const LeastSquares& problem, int steps, LeastSquaresSolution& solution) {
    using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    const auto rows = static_cast<Eigen::Index>(problem.residuals);
    const auto columns = static_cast<Eigen::Index>(problem.parameters);
    LeastSquaresSolution next = solution;
    for (int step = 0; step < steps; ++step) {
        const Eigen::Map<const Matrix> jacobian(solution.jacobian.data(), rows, columns);
        const Eigen::Map<const Eigen::VectorXd> residuals(solution.residuals.data(), rows);
        const Eigen::VectorXd scale = jacobian.colwise().norm().transpose();
        if (!(scale.minCoeff() > 0.0)) {
            return;
        }
        const Matrix scaled = jacobian * scale.cwiseInverse().asDiagonal();
        const Eigen::VectorXd move = scale.cwiseInverse().asDiagonal() * scaled.colPivHouseholderQr().solve(residuals);
        for (std::size_t i = 0; i < problem.parameters; ++i) {
            next.parameters[i] = solution.parameters[i] - move[static_cast<Eigen::Index>(i)];
            if (!problem.lower.empty() &&
                (next.parameters[i] < problem.lower[i] || next.parameters[i] > problem.upper[i])) {
                return;
            }
        }
        if (!move.allFinite() || !problem.evaluate(next.parameters, next.residuals, next.jacobian)) {
            return;
        }
        next.sum_of_squares = Eigen::Map<const Eigen::VectorXd>(next.residuals.data(), rows).squaredNorm();
        if (!(next.sum_of_squares <= solution.sum_of_squares * (1.0 + rounding))) {
            return;
        }
        std::swap(solution, next);
    }
}

} // namespace

Result<LeastSquaresSolution> solve(const LeastSquares& problem, std::span<const std::vector<double>> starts,
                                   const LeastSquaresSettings& settings) {
    std::optional<Search> best;
    int arrived = 0;
    int iterations = 0;
    std::string reason = "no start was given";
    const std::array<Way, 3> ways{Way{ceres::LEVENBERG_MARQUARDT, settings.first_radius}, Way{ceres::DOGLEG, 1e4},
                                  Way{ceres::LEVENBERG_MARQUARDT, 1e-4}};
    for (const std::vector<double>& start : starts) {
        for (const Way& way : ways) {
            Search search = searchFrom(problem, start, settings, way);
            iterations += search.iterations;
            if (settings.stop.stop_requested()) {
                return tl::unexpected(Fault{.kind = FaultKind::cancelled, .what = "the fit was stopped"});
            }
            if (!search.arrived) {
                reason = search.message;
                if (settings.thorough) {
                    continue;
                }
                break;
            }
            ++arrived;
            if (!best || search.sum_of_squares < best->sum_of_squares * (1.0 - equal_minima)) {
                best = std::move(search);
            }
            if (!settings.thorough) {
                break;
            }
        }
    }
    if (!best) {
        return tl::unexpected(Fault{.kind = FaultKind::notConverged,
                                    .what = "the fit does not converge: " + reason,
                                    .remedy = "check masses, doses and heat of reaction in the batch files, leave out "
                                              "a run that is unlike the others, or take a simpler model"});
    }
    LeastSquaresSolution solution{.parameters = best->parameters,
                                  .residuals = std::vector<double>(problem.residuals),
                                  .jacobian = std::vector<double>(problem.residuals * problem.parameters),
                                  .sum_of_squares = best->sum_of_squares,
                                  .iterations = iterations,
                                  .starts_that_arrived = arrived};
    if (!problem.evaluate(solution.parameters, solution.residuals, solution.jacobian)) {
        return tl::unexpected(Fault{.kind = FaultKind::notConverged,
                                    .what = "the fit does not converge: it ends where the model has no answer",
                                    .remedy = "check masses, doses and heat of reaction in the batch files"});
    }
    polish(problem, settings.polishing_steps, solution);
    return solution;
}

Result<std::vector<double>> covarianceOf(const LeastSquaresSolution& solution) {
    using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    const auto n = static_cast<Eigen::Index>(solution.parameters.size());
    const Eigen::Map<const Matrix> jacobian(solution.jacobian.data(),
                                            static_cast<Eigen::Index>(solution.residuals.size()), n);
    const Eigen::VectorXd scale = jacobian.colwise().norm().transpose();
    const Fault undetermined{.kind = FaultKind::missing,
                             .what = "the data do not determine all parameters of the fit",
                             .remedy = "add runs at other temperatures or doses, or take a simpler model"};
    if (!(scale.minCoeff() > 0.0) || !scale.allFinite()) {
        return tl::unexpected(undetermined);
    }
    const Matrix scaled = jacobian * scale.cwiseInverse().asDiagonal();
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(scaled.transpose() * scaled);
    if (eigen.info() != Eigen::Success || !(eigen.eigenvalues()[0] * largest_condition > eigen.eigenvalues()[n - 1])) {
        return tl::unexpected(undetermined);
    }
    const Eigen::MatrixXd inverse =
        eigen.eigenvectors() * eigen.eigenvalues().cwiseInverse().asDiagonal() * eigen.eigenvectors().transpose();
    std::vector<double> covariance(static_cast<std::size_t>(n * n));
    Eigen::Map<Matrix>(covariance.data(), n, n) =
        scale.cwiseInverse().asDiagonal() * inverse * scale.cwiseInverse().asDiagonal();
    return covariance;
}

} // namespace potwatch::kinetics
