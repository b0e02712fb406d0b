// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/fit_figures.h"

#include "analysis/forecast/cure_law.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

namespace potwatch::kinetics {

namespace {

// From these standard uncertainties on a figure is said to be not determined.
constexpr double unsure_energy_share = 0.25;
constexpr double unsure_log_k = 1.0;
constexpr double unsure_power = 0.4;
constexpr double unsure_order = 0.25;
// Two loss coefficients disagree beyond this many standard uncertainties and this share.
constexpr double disagreement_sigma = 2.5;
constexpr double disagreement_share = 0.02;
constexpr double far_input_sigma = 2.0;
constexpr double telling_chi_square = 1.5;
constexpr double weaker_path_share = 0.02;

double uOf(const JointFit& fit, std::size_t i) {
    return std::sqrt(std::max(0.0, fit.covariance[i][i]));
}

Estimate exponential(double log_value, double log_u) {
    const double value = std::exp(log_value);
    const double half = coverage_factor_95 * log_u;
    // Beyond e^50 an interval only says that nothing is known.
    return {.value = value,
            .u = value * std::min(log_u, 1e6),
            .low = std::exp(log_value - std::min(half, 50.0)),
            .high = std::exp(log_value + std::min(half, 50.0))};
}

// Kept to where a search may look: beyond it an interval says nothing more.
Estimate within(Estimate estimate, const Unknown& unknown) {
    estimate.low = std::clamp(estimate.low, unknown.lower, unknown.upper);
    estimate.high = std::clamp(estimate.high, unknown.lower, unknown.upper);
    return estimate;
}

class Figures {
public:
    explicit Figures(const FigureSources& sources)
        : sources_(sources)
        , fit_(sources.fit) {}

    KineticFit make() {
        law();
        correlation();
        vessels();
        runs();
        inputs();
        return std::move(result_);
    }

private:
    void warn(std::string text) { result_.warnings.push_back(std::move(text)); }

    // ln A and E of one path: ln A = ln k + E / (R T_ref).
    void path(PotParameter log_k, PotParameter energy, const char* number) {
        const auto k = fit_.find(log_k);
        const auto e = fit_.find(energy);
        const double per_kj = 1000.0 / (forecast::gas_constant_j_per_mol_k * fit_.settings.reference_k);
        const double log_a = fit_.values[*k] + fit_.values[*e] * per_kj;
        const double variance = fit_.covariance[*k][*k] + 2.0 * per_kj * fit_.covariance[*k][*e] +
                                per_kj * per_kj * fit_.covariance[*e][*e];
        const double k_u = uOf(fit_, *k);
        const double e_u = uOf(fit_, *e);
        const bool k_known = k_u < unsure_log_k && !fit_.atBound(*k);
        const bool e_known = e_u < unsure_energy_share * fit_.values[*e] && !fit_.atBound(*e);
        add({.name = fmt::format("a{}_per_s", number),
             .unit = "1/s",
             .value = exponential(log_a, std::sqrt(std::max(0.0, variance))),
             .determined = k_known && e_known});
        add({.name = fmt::format("e{}_kj_per_mol", number),
             .unit = "kJ/mol",
             .value = within(normalEstimate(fit_.values[*e], e_u), fit_.layout.unknowns[*e]),
             .determined = e_known});
        transform(fmt::format("ln_a{}_per_s", number), {{*k, 1.0}, {*e, per_kj}});
        transform(fmt::format("e{}_kj_per_mol", number), {{*e, 1.0}});
    }

    void plain(PotParameter kind, const char* name, double unsure) {
        const auto i = fit_.find(kind);
        if (!i) {
            return;
        }
        add({.name = name,
             .unit = "",
             .value = within(normalEstimate(fit_.values[*i], uOf(fit_, *i)), fit_.layout.unknowns[*i]),
             .determined = uOf(fit_, *i) < unsure && !fit_.atBound(*i)});
        transform(name, {{*i, 1.0}});
    }

    void law() {
        Kinetics& kinetics = result_.kinetics;
        kinetics.kind = sources_.model;
        path(log_k1, e1, "1");
        kinetics.a1_per_s = value("a1_per_s");
        kinetics.e1_kj_per_mol = value("e1_kj_per_mol");
        if (sources_.model == RateModel::autocatalytic) {
            path(log_k2, e2, "2");
            kinetics.a2_per_s = value("a2_per_s");
            kinetics.e2_kj_per_mol = value("e2_kj_per_mol");
            plain(power_m, "m", unsure_power);
            kinetics.m = value("m");
        }
        plain(power_n, "n", unsure_power);
        kinetics.n = value("n");
        plain(order, "catalyst_order", unsure_order);
        kinetics.catalyst_order = fit_.find(order) ? value("catalyst_order") : fit_.layout.held[order];
        const PotRun& first = sources_.runs.front();
        if (const auto i = fit_.find(log_heat)) {
            const double heat = first.heat_of_reaction_j_per_g * std::exp(fit_.values[*i]);
            add({.name = "heat_of_reaction_j_per_g",
                 .unit = "J/g",
                 .value = normalEstimate(heat, heat * uOf(fit_, *i))});
            transform("heat_of_reaction_j_per_g", {{*i, heat}});
            kinetics.heat_of_reaction_j_per_g = heat;
        } else {
            kinetics.heat_of_reaction_j_per_g = first.heat_of_reaction_j_per_g;
        }
        kinetics.catalyst_reference_g_per_g = first.dosed_catalyst ? first.catalyst_reference_g_per_g : 1.0;
        kinetics.fit = KineticsFit{.parameters = names_, .covariance = covarianceOfNames()};
        for (const FittedParameter& one : result_.parameters) {
            if (!one.determined) {
                warn(notDetermined(one));
            }
        }
    }

    static std::string notDetermined(const FittedParameter& one) {
        const bool frequency = one.unit == "1/s";
        return frequency
                   ? fmt::format("{} is not determined by these runs: its path carries too little of the cure, or at "
                                 "too few temperatures",
                                 one.name)
                   : fmt::format("{} is not determined by these runs: anything from {:.2g} to {:.2g}{} would do as "
                                 "well; add runs at other temperatures or doses",
                                 one.name, one.value.low, one.value.high, one.unit.empty() ? "" : " " + one.unit);
    }

    void correlation() {
        // Of the law's own unknowns, k in place of A, which goes with E by construction.
        static constexpr std::array<std::pair<PotParameter, const char*>, 8> kinds{
            {{log_k1, "ln k1"},
             {e1, "e1_kj_per_mol"},
             {log_k2, "ln k2"},
             {e2, "e2_kj_per_mol"},
             {power_m, "m"},
             {power_n, "n"},
             {order, "catalyst_order"},
             {log_heat, "heat_of_reaction_j_per_g"}}};
        std::vector<std::size_t> which;
        for (const auto& kind : kinds) {
            if (const auto i = fit_.find(kind.first)) {
                which.push_back(*i);
                result_.correlated.emplace_back(kind.second);
            }
        }
        for (const std::size_t i : which) {
            std::vector<double>& row = result_.correlation.emplace_back();
            for (const std::size_t k : which) {
                const double u = uOf(fit_, i) * uOf(fit_, k);
                row.push_back(u > 0.0 ? fit_.covariance[i][k] / u : 0.0);
            }
        }
    }

    void vessels() {
        const JointFit& fit = fit_;
        for (std::size_t i = 0; i < fit.layout.unknowns.size(); ++i) {
            const Unknown& unknown = fit.layout.unknowns[i];
            if (unknown.kind == log_loss) {
                add({.name = "loss_coefficient_w_per_k",
                     .unit = "W/K",
                     .value = exponential(fit.values[i], uOf(fit, i)),
                     .vessel = unknown.of});
            }
        }
        for (std::size_t i = 0; i < fit.layout.unknowns.size(); ++i) {
            const Unknown& unknown = fit.layout.unknowns[i];
            if (unknown.kind == loss_exponent) {
                add({.name = "loss_exponent",
                     .unit = "",
                     .value = normalEstimate(fit.values[i], uOf(fit, i)),
                     .vessel = unknown.of});
            }
        }
    }

    void runs() {
        double square = 0.0;
        std::size_t count = 0;
        KineticsFit& range = *result_.kinetics.fit;
        range.t_min_c = std::numeric_limits<double>::infinity();
        range.t_max_c = -range.t_min_c;
        range.degree_range = {1.0, 0.0};
        range.catalyst_range_g_per_g = {0.0, 0.0};
        for (std::size_t r = 0; r < sources_.runs.size(); ++r) {
            const PotRun& run = sources_.runs[r];
            const auto parameters = fit_.parametersOf(r);
            const DegreeCourse course = degreeCourse(run, parameters, fit_.settings);
            FittedRun fitted{.name = run.name, .file = sources_.studies[r].run->file, .vessel = run.vessel};
            double run_square = 0.0;
            double run_square_k = 0.0;
            for (std::size_t i = 0; i < course.time_s.size(); ++i) {
                run_square += std::pow(course.measured[i] - course.modelled[i], 2);
                run_square_k += std::pow(course.reading_difference_k[i], 2);
                if (course.modelled[i] > run.start_degree + 1e-3 && course.modelled[i] < 0.999) {
                    range.t_min_c = std::min(range.t_min_c, course.temperature_c[i]);
                    range.t_max_c = std::max(range.t_max_c, course.temperature_c[i]);
                }
                range.degree_range[0] = std::min(range.degree_range[0], course.modelled[i]);
                range.degree_range[1] = std::max(range.degree_range[1], course.modelled[i]);
            }
            const auto n = static_cast<double>(std::max<std::size_t>(1, course.time_s.size()));
            fitted.rmse_degree = std::sqrt(run_square / n);
            fitted.rmse_k = std::sqrt(run_square_k / n);
            fitted.degree_final = course.modelled.empty() ? run.start_degree : course.modelled.back();
            square += run_square;
            count += course.time_s.size();
            if (run.dosed_catalyst) {
                range.catalyst_range_g_per_g[1] = std::max(range.catalyst_range_g_per_g[1], run.dosed_g / run.resin_g);
            }
            result_.samples += sources_.studies[r].prepared.samples.kept;
            fitted.time_s = course.time_s;
            fitted.temperature_c = course.temperature_c;
            fitted.degree = course.modelled;
            fitted.measured_degree = course.measured;
            fitted.difference_k = course.reading_difference_k;
            result_.runs.push_back(std::move(fitted));
            leftOut(r);
            tail(r);
        }
        result_.bins = count;
        result_.rmse_degree = std::sqrt(square / static_cast<double>(std::max<std::size_t>(1, count)));
        result_.iterations = fit_.iterations;
        result_.reduced_chi_square = fit_.chi_square / static_cast<double>(std::max<std::size_t>(1, count));
        if (result_.reduced_chi_square > telling_chi_square) {
            warn(fmt::format("the model misses the readings by {:.1f} times their noise: the intervals are widened for "
                             "it, but a law of another kind may be at work",
                             std::sqrt(result_.reduced_chi_square)));
        }
    }

    void leftOut(std::size_t r) {
        const PotRun& run = sources_.runs[r];
        if (!run.left_out) {
            return;
        }
        LeftOut out{.run = run.name,
                    .from_s = run.left_out->from_s,
                    .to_s = run.left_out->to_s,
                    .reason = "it boiled; the measured temperature carries the cure through it"};
        if (const auto i = fit_.find(steam, run.name)) {
            out.evaporated_g = normalEstimate(fit_.values[*i], uOf(fit_, *i));
            out.evaporated_g->low = std::max(0.0, out.evaporated_g->low);
        }
        result_.left_out.push_back(std::move(out));
    }

    // The loss coefficient of the run's own cooling against the one of all runs; both rest on one heat capacity.
    void tail(std::size_t r) {
        const PotRun& run = sources_.runs[r];
        const std::string of = run.vessel.empty() ? "of " + run.name : run.vessel;
        const auto i = fit_.find(log_loss, of);
        if (!run.tail_loss || !i || run.stated_loss_w_per_k) {
            return;
        }
        const double away = std::log(run.tail_loss->coefficient_w_per_k) - fit_.values[*i];
        if (std::abs(away) > disagreement_sigma * run.tail_loss_log_u + disagreement_share) {
            warn(fmt::format("{}: the loss coefficient from its cooling alone ({:.3f} W/K) and the fit's ({:.3f} W/K) "
                             "disagree: did the pot stand as in the other runs, undisturbed to the end?",
                             run.name, run.tail_loss->coefficient_w_per_k, std::exp(fit_.values[*i])));
        }
    }

    void inputs() {
        const PotRun& first = sources_.runs.front();
        for (std::size_t i = 0; i < fit_.layout.unknowns.size(); ++i) {
            const Unknown& unknown = fit_.layout.unknowns[i];
            const double found = fit_.values[i];
            const double u = uOf(fit_, i);
            AdjustedInput input{.of = unknown.of};
            switch (unknown.kind) {
            case log_heat:
                input = {"heat of reaction",
                         "J/g",
                         "",
                         first.heat_of_reaction_j_per_g,
                         first.heat_of_reaction_j_per_g * unknown.known->u,
                         scaled(first.heat_of_reaction_j_per_g, found, u)};
                break;
            case log_charge:
                input = {"heat capacity of the charge",
                         "J/K",
                         "",
                         first.charge_j_per_k.value,
                         first.charge_j_per_k.value * unknown.known->u,
                         scaled(first.charge_j_per_k.value, found, u)};
                break;
            case log_vessel: {
                const auto run = std::find_if(sources_.runs.begin(), sources_.runs.end(), [&](const PotRun& one) {
                    return one.vessel == unknown.of || "of " + one.name == unknown.of;
                });
                input = {"heat capacity of the vessel",
                         "J/K",
                         unknown.of,
                         run->vessel_j_per_k.value,
                         run->vessel_j_per_k.u,
                         scaled(run->vessel_j_per_k.value, found, u)};
                break;
            }
            case lag:
                input = {"probe lag", "s", unknown.of, unknown.known->mean, unknown.known->u, normalEstimate(found, u)};
                break;
            case shift:
                input = {"surroundings, off by", "K", unknown.of, 0.0, unknown.known->u, normalEstimate(found, u)};
                break;
            default:
                continue;
            }
            const double away =
                std::abs(unknown.kind == log_heat || unknown.kind == log_charge || unknown.kind == log_vessel
                             ? found
                             : found - unknown.known->mean) /
                unknown.known->u;
            if (away > far_input_sigma) {
                warn(fmt::format("the runs agree better with {}{} of {:.4g} {} than with the stated {:.4g}: check it",
                                 input.name, input.of.empty() ? "" : " (" + input.of + ")", input.fitted.value,
                                 input.unit, input.stated));
            }
            result_.inputs.push_back(std::move(input));
        }
    }

    static Estimate scaled(double stated, double log_factor, double log_u) {
        const double value = stated * std::exp(log_factor);
        return normalEstimate(value, value * log_u);
    }

    void add(FittedParameter parameter) { result_.parameters.push_back(std::move(parameter)); }
    [[nodiscard]] double value(const std::string& name) const {
        return std::find_if(result_.parameters.begin(), result_.parameters.end(),
                            [&](const FittedParameter& one) { return one.name == name; })
            ->value.value;
    }

    void transform(const std::string& name, std::vector<std::pair<std::size_t, double>> of) {
        names_.push_back(name);
        transforms_.push_back(std::move(of));
    }
    [[nodiscard]] std::vector<std::vector<double>> covarianceOfNames() const {
        std::vector<std::vector<double>> rows;
        for (const auto& a : transforms_) {
            std::vector<double>& row = rows.emplace_back();
            for (const auto& b : transforms_) {
                double sum = 0.0;
                for (const auto& [i, by_i] : a) {
                    for (const auto& [k, by_k] : b) {
                        sum += by_i * by_k * fit_.covariance[i][k];
                    }
                }
                row.push_back(sum);
            }
        }
        return rows;
    }

    const FigureSources& sources_;
    const JointFit& fit_;
    std::vector<std::string> names_;
    std::vector<std::vector<std::pair<std::size_t, double>>> transforms_;
    KineticFit result_;
};

} // namespace

KineticFit figuresOf(const FigureSources& sources) {
    return Figures(sources).make();
}

} // namespace potwatch::kinetics
