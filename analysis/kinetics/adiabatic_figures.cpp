// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/adiabatic_figures.h"

#include "analysis/forecast/adiabatic.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <span>

namespace potwatch::kinetics {

namespace {

using Parameters = std::array<double, pot_parameter_count>;

// Of a difference quotient, in parts of the unknown or of 1.
constexpr double difference_step = 1e-3;

enum Figure : std::size_t { inertia, rise, rise_alone, log_time, log_time_alone, figure_count };
using FigureValues = std::array<double, figure_count>; // NaN: there is no such time

forecast::CureLaw lawOf(const PotRun& run, const Parameters& p, const PotSettings& settings) {
    const double per_kj = 1000.0 / (forecast::gas_constant_j_per_mol_k * settings.reference_k);
    forecast::CureLaw law{.a1_per_s = std::exp(p[log_k1] + p[e1] * per_kj),
                          .e1_j_per_mol = 1000.0 * p[e1],
                          .n = p[power_n],
                          .catalyst_order = p[order]};
    if (settings.autocatalytic) {
        law.a2_per_s = std::exp(p[log_k2] + p[e2] * per_kj);
        law.e2_j_per_mol = 1000.0 * p[e2];
        law.m = p[power_m];
    }
    if (run.dosed_catalyst) {
        law.catalyst_reference_g_per_g = run.catalyst_reference_g_per_g;
    }
    return law;
}

double contentsJPerK(const PotRun& run, const Parameters& p, double dosed_g) {
    return run.charge_j_per_k.value * std::exp(p[log_charge]) + dosed_g * run.dose_specific_heat_j_per_g_k * std::exp(p[log_dose]);
}

double vesselJPerK(const PotRun& run, const Parameters& p) {
    return run.vessel_j_per_k.value * std::exp(p[log_vessel]);
}

forecast::AdiabaticPot potOf(const PotRun& run, const Parameters& p, const PotSettings& settings,
                             double capacity_j_per_k) {
    return {.law = lawOf(run, p, settings),
            .resin_g = run.resin_g,
            .heat_of_reaction_j_per_g = run.heat_of_reaction_j_per_g * std::exp(p[log_heat]),
            .heat_capacity_j_per_k = capacity_j_per_k};
}

// The pot just after the whole dose went in at once, mixed with what stood there.
forecast::CurePlace dosedAtOnce(const PotRun& run, const Parameters& p, double undosed_j_per_k) {
    const double dose_j_per_k = run.dosed_g * run.dose_specific_heat_j_per_g_k * std::exp(p[log_dose]);
    return {.temperature_c =
                (undosed_j_per_k * p[start] + dose_j_per_k * run.dose_c) / (undosed_j_per_k + dose_j_per_k),
            .degree = run.start_degree,
            .catalyst_g_per_g = run.dosed_catalyst ? run.dosed_g / run.resin_g : 0.0};
}

Result<TimeToMaximumRate> toMaximum(const PotRun& run, const Parameters& p, const PotSettings& settings,
                                    double vessel_j_per_k) {
    const double capacity = contentsJPerK(run, p, run.dosed_g) + vessel_j_per_k;
    return forecast::timeToMaximumRate(potOf(run, p, settings, capacity),
                                       dosedAtOnce(run, p, contentsJPerK(run, p, 0.0) + vessel_j_per_k));
}

FigureValues figuresAt(const PotRun& run, const Parameters& p, const PotSettings& settings) {
    const double contents = contentsJPerK(run, p, run.dosed_g);
    const double vessel = vesselJPerK(run, p);
    const auto log_of = [](const Result<TimeToMaximumRate>& found) {
        return found && found->time_s > 0.0 ? std::log(found->time_s) : std::numeric_limits<double>::quiet_NaN();
    };
    return {(contents + vessel) / contents,
            forecast::adiabaticRiseK(potOf(run, p, settings, contents + vessel), run.start_degree),
            forecast::adiabaticRiseK(potOf(run, p, settings, contents), run.start_degree),
            log_of(toMaximum(run, p, settings, vessel)), log_of(toMaximum(run, p, settings, 0.0))};
}

// Standard uncertainties of the figures.
FigureValues uncertainties(const JointFit& fit, const PotRun& run, std::size_t place, const FigureValues& figures) {
    std::array<std::vector<double>, figure_count> slopes;
    for (auto& one : slopes) {
        one.assign(fit.values.size(), 0.0);
    }
    for (std::size_t kind = 0; kind < pot_parameter_count; ++kind) {
        const std::ptrdiff_t unknown = fit.layout.of_run[place][kind];
        const bool counts = kind <= log_charge || kind == log_vessel || kind == log_dose || kind == start;
        if (unknown < 0 || !counts) {
            continue;
        }
        Parameters shifted = fit.parametersOf(place);
        const double step = difference_step * std::max(1.0, std::abs(shifted[kind]));
        shifted[kind] += step;
        const FigureValues there = figuresAt(run, shifted, fit.settings);
        for (std::size_t f = 0; f < figure_count; ++f) {
            slopes[f][static_cast<std::size_t>(unknown)] = (there[f] - figures[f]) / step;
        }
    }
    FigureValues u{};
    for (std::size_t f = 0; f < figure_count; ++f) {
        double variance = 0.0;
        for (std::size_t i = 0; i < fit.values.size(); ++i) {
            for (std::size_t k = 0; k < fit.values.size(); ++k) {
                variance += slopes[f][i] * fit.covariance[i][k] * slopes[f][k];
            }
        }
        u[f] = std::sqrt(std::max(0.0, variance));
    }
    return u;
}

std::optional<Estimate> timeOf(double log_s, double log_u) {
    if (!std::isfinite(log_s) || !std::isfinite(log_u)) {
        return std::nullopt;
    }
    const double half = std::min(coverage_factor_95 * log_u, 50.0); // beyond it an interval says nothing
    const double time_s = std::exp(log_s);
    return Estimate{
        .value = time_s, .u = time_s * log_u, .low = std::exp(log_s - half), .high = std::exp(log_s + half)};
}

} // namespace

AdiabaticFigures adiabaticFigures(const JointFit& fit, const PotRun& run, const findings::RunStudy& study,
                                  std::size_t place) {
    const Parameters p = fit.parametersOf(place);
    const FigureValues found = figuresAt(run, p, fit.settings);
    const FigureValues u = uncertainties(fit, run, place, found);
    AdiabaticFigures figures{.thermal_inertia = normalEstimate(found[inertia], u[inertia]),
                             .rise_k = normalEstimate(found[rise], u[rise]),
                             .rise_without_vessel_k = normalEstimate(found[rise_alone], u[rise_alone]),
                             .time_to_maximum_s = timeOf(found[log_time], u[log_time]),
                             .time_to_maximum_without_vessel_s = timeOf(found[log_time_alone], u[log_time_alone])};
    if (figures.time_to_maximum_s) {
        figures.zero_order_s = toMaximum(run, p, fit.settings, vesselJPerK(run, p))->zero_order_s;
    }

    if (!run.dosed_catalyst) {
        return figures;
    }
    const DegreeCourse course = degreeCourse(run, p, fit.settings);
    double highest_c = -std::numeric_limits<double>::infinity();
    double still_share = 0.0; // of the rise that counts at that moment
    for (std::size_t i = 0; i < course.time_s.size(); ++i) {
        if (run.left_out && course.time_s[i] > run.left_out->from_s) {
            break; // what boils off takes its heat along
        }
        const double dosed_g = study.inputs.dose ? study.inputs.dose->dosedAt(course.time_s[i]) : 0.0;
        const double capacity = contentsJPerK(run, p, dosed_g) + vesselJPerK(run, p);
        const double could_reach_c =
            forecast::mtsrC(potOf(run, p, fit.settings, capacity), {.role = DoseRole::catalyst,
                                                                    .temperature_c = course.temperature_c[i],
                                                                    .degree = course.modelled[i],
                                                                    .catalyst_g_per_g = dosed_g / run.resin_g});
        if (could_reach_c > highest_c) {
            highest_c = could_reach_c;
            figures.mtsr_at_s = course.time_s[i];
            still_share = (could_reach_c - course.temperature_c[i]) / found[rise];
        }
    }
    figures.mtsr_c = normalEstimate(highest_c, std::hypot(still_share * u[rise], run.thermocouple_u_k));
    return figures;
}

} // namespace potwatch::kinetics
