// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/joint_fit.h"

#include "analysis/kinetics/least_squares.h"
#include "analysis/signal/noise.h"

#include <Eigen/Dense>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <thread>
#include <utility>

namespace potwatch::kinetics {

namespace {

// What a search may not leave; far outside of what resins do.
struct Range {
    double lower = 0.0;
    double upper = 0.0;
};
constexpr std::array<Range, 7> law_ranges{Range{-20.0, 3.0}, Range{1.0, 300.0}, Range{-20.0, 3.0}, Range{1.0, 300.0},
                                          Range{0.02, 4.0},  Range{0.05, 6.0},  Range{-1.0, 4.0}};
// A loss that is not known beforehand: as in the fit of a cooling.
constexpr double unknown_log_loss_u = 3.0;
constexpr double start_u_k = 1.0;
constexpr double skipped_u = 0.3; // of ln(1 - degree) over a stretch of boiling
constexpr double unknown_time_constant_s = 600.0;
constexpr double smallest_lag_s = 0.05; // under it no bin shows a lag
// The trust region of a search that starts near: E, k and the loss go together along a valley, in which a narrow one
// takes three times as many steps.
constexpr double near_radius = 1e8;
// Added to a scaled normal matrix: directions that the data leave free do not count.
constexpr double singular = 1e-12;
constexpr double short_of_bound = 1e-3; // of the range

std::ptrdiff_t add(Layout& layout, const Unknown& unknown) {
    for (std::size_t i = 0; i < layout.unknowns.size(); ++i) {
        if (layout.unknowns[i].kind == unknown.kind && layout.unknowns[i].of == unknown.of) {
            return static_cast<std::ptrdiff_t>(i);
        }
    }
    layout.unknowns.push_back(unknown);
    return static_cast<std::ptrdiff_t>(layout.unknowns.size()) - 1;
}

double relative(const heat::Uncertain& figure) {
    return figure.value > 0.0 ? figure.u / figure.value : 0.0;
}

// A run without a vessel's name shares nothing.
std::string vesselOf(const PotRun& run) {
    return run.vessel.empty() ? "of " + run.name : run.vessel;
}

// All residuals of the joint fit, runs one after the other, then what was known beforehand.
class Joint {
public:
    Joint(std::span<const PotRun> runs, const Layout& layout, const PotSettings& settings)
        : runs_(runs)
        , layout_(layout)
        , settings_(settings) {
        for (const PotRun& run : runs) {
            first_row_.push_back(rows_);
            rows_ += run.bins.size();
        }
        for (std::size_t i = 0; i < layout.unknowns.size(); ++i) {
            if (layout.unknowns[i].known) {
                known_.push_back(i);
            }
        }
    }

    [[nodiscard]] std::size_t rows() const { return rows_ + known_.size(); }
    [[nodiscard]] std::size_t dataRows() const { return rows_; }
    [[nodiscard]] std::size_t firstRow(std::size_t run) const { return first_row_[run]; }

    bool evaluate(std::span<const double> values, std::span<double> residuals, std::span<double> jacobian) const {
        std::fill(jacobian.begin(), jacobian.end(), 0.0);
        std::atomic<bool> answered = true;
        std::atomic<std::size_t> next = 0;
        const auto work = [&] {
            for (std::size_t run = next++; run < runs_.size(); run = next++) {
                if (!oneRun(run, values, residuals, jacobian)) {
                    answered = false;
                }
            }
        };
        if (runs_.size() > 1 && !jacobian.empty()) {
            const std::jthread second(work);
            work();
        } else {
            work();
        }
        const std::size_t columns = layout_.unknowns.size();
        for (std::size_t k = 0; k < known_.size(); ++k) {
            const Unknown& unknown = layout_.unknowns[known_[k]];
            residuals[rows_ + k] = (values[known_[k]] - unknown.known->mean) / unknown.known->u;
            if (!jacobian.empty()) {
                jacobian[(rows_ + k) * columns + known_[k]] = 1.0 / unknown.known->u;
            }
        }
        return answered;
    }

private:
    bool oneRun(std::size_t index, std::span<const double> values, std::span<double> residuals,
                std::span<double> jacobian) const {
        const PotRun& run = runs_[index];
        std::array<double, pot_parameter_count> parameters = layout_.held;
        const auto& of_run = layout_.of_run[index];
        for (std::size_t i = 0; i < pot_parameter_count; ++i) {
            if (of_run[i] >= 0) {
                parameters[i] = values[static_cast<std::size_t>(of_run[i])];
            }
        }
        const std::span<double> own = residuals.subspan(first_row_[index], run.bins.size());
        if (jacobian.empty()) {
            return potResiduals(run, parameters, settings_, own, {});
        }
        std::vector<double> own_jacobian(run.bins.size() * pot_parameter_count);
        if (!potResiduals(run, parameters, settings_, own, own_jacobian)) {
            return false;
        }
        const std::size_t columns = layout_.unknowns.size();
        for (std::size_t row = 0; row < run.bins.size(); ++row) {
            for (std::size_t i = 0; i < pot_parameter_count; ++i) {
                if (of_run[i] >= 0) {
                    jacobian[(first_row_[index] + row) * columns + static_cast<std::size_t>(of_run[i])] =
                        own_jacobian[row * pot_parameter_count + i];
                }
            }
        }
        return true;
    }

    std::span<const PotRun> runs_;
    const Layout& layout_;
    PotSettings settings_;
    std::vector<std::size_t> first_row_;
    std::vector<std::size_t> known_;
    std::size_t rows_ = 0;
};

LeastSquares problemOf(const Joint& joint, const Layout& layout) {
    LeastSquares problem{.parameters = layout.unknowns.size(), .residuals = joint.rows()};
    problem.evaluate = [&joint](std::span<const double> values, std::span<double> residuals,
                                std::span<double> jacobian) { return joint.evaluate(values, residuals, jacobian); };
    for (const Unknown& unknown : layout.unknowns) {
        problem.lower.push_back(unknown.lower);
        problem.upper.push_back(unknown.upper);
    }
    return problem;
}

// By how much the noise of a run counts for more: its residuals exceed it, or resemble each other.
double excessOf(std::span<const double> residuals) {
    double square = 0.0;
    for (const double residual : residuals) {
        square += residual * residual;
    }
    return std::max(1.0, square / static_cast<double>(residuals.size())) * signal::autocorrelationFactor(residuals);
}

} // namespace

Layout layoutOf(std::span<const PotRun> runs, const JointSettings& settings,
                std::span<const std::optional<findings::CommonLoss>> blanks) {
    Layout layout;
    layout.held[order] = settings.order.value_or(0.0);
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const PotRun& run = runs[r];
        std::array<std::ptrdiff_t, pot_parameter_count> of_run{};
        of_run.fill(-1);
        for (std::size_t i = 0; i < law_ranges.size(); ++i) {
            const bool of_second_path = i == log_k2 || i == e2 || i == power_m;
            if ((of_second_path && !settings.pot.autocatalytic) || (i == order && settings.order)) {
                continue;
            }
            of_run[i] = add(layout, {.kind = static_cast<PotParameter>(i),
                                     .of = {},
                                     .lower = law_ranges[i].lower,
                                     .upper = law_ranges[i].upper});
        }
        const auto known = [&](PotParameter kind, const std::string& of, double start_value, Range range,
                               heat::Prior prior) {
            if (prior.u > 0.0) {
                of_run[kind] = add(layout, {.kind = kind,
                                            .of = of,
                                            .start = start_value,
                                            .lower = range.lower,
                                            .upper = range.upper,
                                            .known = prior});
            } else if (kind == lag) {
                layout.held[kind] = prior.mean;
            }
        };
        known(log_heat, {}, 0.0, {-0.7, 0.7}, {0.0, run.heat_of_reaction_rel});
        known(log_charge, {}, 0.0, {-0.7, 0.7}, {0.0, relative(run.charge_j_per_k)});
        // No better known than the resin's, but for itself: one may be off without the other.
        known(log_dose, {}, 0.0, {-0.7, 0.7}, {0.0, run.dosed_g > 0.0 ? relative(run.charge_j_per_k) : 0.0});
        known(log_vessel, vesselOf(run), 0.0, {-2.0, 2.0}, {0.0, relative(run.vessel_j_per_k)});
        const double guess_w_per_k = (run.charge_j_per_k.value + run.vessel_j_per_k.value) / unknown_time_constant_s;
        heat::Prior loss_prior{std::log(guess_w_per_k), unknown_log_loss_u};
        heat::Prior exponent_prior = run.loss_exponent;
        double loss_start = run.tail_loss ? std::log(run.tail_loss->coefficient_w_per_k) : loss_prior.mean;
        if (run.stated_loss_w_per_k) {
            loss_prior = {std::log(run.stated_loss_w_per_k->value), relative(*run.stated_loss_w_per_k)};
            loss_start = loss_prior.mean;
        } else if (blanks[r]) {
            loss_prior = {std::log(blanks[r]->known.loss.coefficient_w_per_k), std::max(1e-3, blanks[r]->known.log_u)};
            exponent_prior = {blanks[r]->known.loss.exponent, std::max(1e-2, blanks[r]->known.exponent_u)};
            loss_start = loss_prior.mean;
        }
        known(log_loss, vesselOf(run), loss_start, {-9.0, 5.0}, loss_prior);
        known(loss_exponent, vesselOf(run), run.tail_loss ? run.tail_loss->exponent : exponent_prior.mean, {-0.5, 1.0},
              exponent_prior);
        // One probe for all runs, unless they state it differently.
        std::string probe = run.channel;
        for (const Unknown& other : layout.unknowns) {
            if (other.kind == lag && other.of == probe && other.known->mean != run.lag_s.value) {
                probe += " of " + run.name;
                break;
            }
        }
        known(lag, probe, std::max(smallest_lag_s, run.lag_s.value), {smallest_lag_s, 20.0 + 3.0 * run.lag_s.value},
              {run.lag_s.value, run.lag_s.u});
        known(shift, run.name, 0.0, {-10.0, 10.0}, {0.0, std::max(1e-3, run.surroundings_u_k)});
        const double start_c = run.bins.front().reading_c;
        known(start, run.name, start_c, {start_c - 10.0, start_c + 10.0}, {start_c, start_u_k});
        if (run.left_out) {
            const double estimate_g = std::max(0.0, run.evaporated_g.value);
            const double u_g = run.evaporation_weighed ? std::max(0.02, run.evaporated_g.u)
                                                       : std::max(0.02 * run.resin_g, 2.0 * estimate_g);
            known(steam, run.name, estimate_g, {0.0, 0.8 * run.resin_g}, {estimate_g, u_g});
            known(skipped, run.name, 0.0, {-3.0, 3.0}, {0.0, skipped_u});
        }
        layout.of_run.push_back(of_run);
    }
    return layout;
}

std::array<double, pot_parameter_count> JointFit::parametersOf(std::size_t run) const {
    std::array<double, pot_parameter_count> parameters = layout.held;
    for (std::size_t i = 0; i < pot_parameter_count; ++i) {
        if (layout.of_run[run][i] >= 0) {
            parameters[i] = values[static_cast<std::size_t>(layout.of_run[run][i])];
        }
    }
    return parameters;
}

std::optional<std::size_t> JointFit::find(PotParameter kind, const std::string& of) const {
    for (std::size_t i = 0; i < layout.unknowns.size(); ++i) {
        if (layout.unknowns[i].kind == kind && (of.empty() || layout.unknowns[i].of == of)) {
            return i;
        }
    }
    return std::nullopt;
}

bool JointFit::atBound(std::size_t unknown) const {
    const Unknown& one = layout.unknowns[unknown];
    const double near = 1e-6 * (one.upper - one.lower);
    return values[unknown] < one.lower + near || values[unknown] > one.upper - near;
}

void inflate(std::span<PotRun> runs, const JointFit& fit) {
    for (std::size_t r = 0; r < runs.size(); ++r) {
        runs[r].inflation *= std::sqrt(excessOf(fit.residuals[r]));
    }
}

namespace {

JointFit fitOf(const Joint& joint, std::span<const PotRun> runs, const Layout& layout, const PotSettings& settings,
               const LeastSquaresSolution& solution) {
    JointFit fit{.layout = layout, .settings = settings, .values = solution.parameters};
    fit.iterations = solution.iterations;
    fit.sum_of_squares = solution.sum_of_squares;
    for (std::size_t r = 0; r < runs.size(); ++r) {
        const auto first = solution.residuals.begin() + static_cast<std::ptrdiff_t>(joint.firstRow(r));
        fit.residuals.emplace_back(first, first + static_cast<std::ptrdiff_t>(runs[r].bins.size()));
        for (const double residual : fit.residuals.back()) {
            fit.chi_square += residual * residual * runs[r].inflation * runs[r].inflation;
        }
    }
    return fit;
}

// A search stops short of a bound that it runs up to.
bool leansOnBound(const JointFit& fit, std::size_t i) {
    const Unknown& unknown = fit.layout.unknowns[i];
    const double near = short_of_bound * (unknown.upper - unknown.lower);
    return fit.values[i] < unknown.lower + near || fit.values[i] > unknown.upper - near;
}

// The step that Gauss and Newton would take, in standard uncertainties along it (of the noise as it is, where the law
// misses the runs); what stands at a bound stays there.
// Source: G. A. F. Seber, C. J. Wild, Nonlinear Regression (1989), 14.1 (from memory): relative offset.
double distanceFromMinimum(const LeastSquaresSolution& solution, const JointFit& fit) {
    using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
    const auto rows = static_cast<Eigen::Index>(solution.residuals.size());
    const auto columns = static_cast<Eigen::Index>(solution.parameters.size());
    Matrix jacobian = Eigen::Map<const Matrix>(solution.jacobian.data(), rows, columns);
    for (Eigen::Index i = 0; i < columns; ++i) {
        const double norm = jacobian.col(i).norm();
        if (leansOnBound(fit, static_cast<std::size_t>(i)) || !(norm > 0.0)) {
            jacobian.col(i).setZero();
        } else {
            jacobian.col(i) /= norm;
        }
    }
    const Eigen::Map<const Eigen::VectorXd> residuals(solution.residuals.data(), rows);
    Eigen::MatrixXd normal = jacobian.transpose() * jacobian;
    normal.diagonal().array() += singular;
    const Eigen::VectorXd slope = jacobian.transpose() * residuals;
    const double noise = std::max(1.0, fit.chi_square / static_cast<double>(std::max<Eigen::Index>(1, rows)));
    return std::sqrt(std::max(0.0, slope.dot(normal.ldlt().solve(slope))) / noise);
}

// Each run's rows weighed down by excessOf, what was known beforehand as it is.
LeastSquaresSolution weighed(const Joint& joint, const LeastSquaresSolution& solution, JointFit& fit) {
    LeastSquaresSolution weighed = solution;
    const std::size_t columns = solution.parameters.size();
    for (std::size_t r = 0; r < fit.residuals.size(); ++r) {
        const std::size_t first = joint.firstRow(r);
        const std::size_t count = fit.residuals[r].size();
        fit.weights.push_back(1.0 / std::sqrt(excessOf(fit.residuals[r])));
        for (std::size_t i = first; i < first + count; ++i) {
            weighed.residuals[i] *= fit.weights.back();
        }
        for (std::size_t i = first * columns; i < (first + count) * columns; ++i) {
            weighed.jacobian[i] *= fit.weights.back();
        }
    }
    return weighed;
}

} // namespace

Result<JointFit> roughly(std::span<const PotRun> runs, const Layout& layout, const JointSettings& settings,
                         const std::vector<double>& law_start) {
    std::vector<std::vector<double>> starts(1);
    for (const Unknown& unknown : layout.unknowns) {
        starts.front().push_back(unknown.kind < law_start.size() ? law_start[unknown.kind] : unknown.start);
    }
    const Joint joint(runs, layout, settings.pot);
    const auto solution = solve(problemOf(joint, layout), starts,
                                {.most_iterations = 60,
                                 .function_tolerance = 1e-4,
                                 .parameter_tolerance = 1e-4,
                                 .polishing_steps = 0,
                                 .thorough = false,
                                 .unfinished_counts = true,
                                 .stop = settings.stop});
    if (!solution) {
        return tl::unexpected(solution.error());
    }
    return fitOf(joint, runs, layout, settings.pot, *solution);
}

Result<JointFit> finely(std::span<const PotRun> runs, const JointFit& near, const JointSettings& settings) {
    const Joint joint(runs, near.layout, settings.pot);
    const auto solution = solve(problemOf(joint, near.layout), std::vector<std::vector<double>>{near.values},
                                {.most_iterations = 200,
                                 .function_tolerance = 1e-7,
                                 .parameter_tolerance = 1e-7,
                                 .polishing_steps = 0,
                                 .thorough = false,
                                 .first_radius = near_radius,
                                 .stop = settings.stop});
    if (!solution) {
        return tl::unexpected(solution.error());
    }
    JointFit fit = fitOf(joint, runs, near.layout, settings.pot, *solution);
    fit.iterations += near.iterations;
    fit.from_minimum = distanceFromMinimum(*solution, fit);
    LeastSquaresSolution weighed_down = weighed(joint, *solution, fit);
    const auto flat = covarianceOf(weighed_down);
    if (!flat) {
        return tl::unexpected(flat.error());
    }
    const std::size_t columns = fit.values.size();
    for (std::size_t i = 0; i < columns; ++i) {
        const auto row = flat->begin() + static_cast<std::ptrdiff_t>(i * columns);
        fit.covariance.emplace_back(row, row + static_cast<std::ptrdiff_t>(columns));
    }
    fit.weighed_residuals = std::move(weighed_down.residuals);
    fit.weighed_jacobian = std::move(weighed_down.jacobian);
    return fit;
}

} // namespace potwatch::kinetics
