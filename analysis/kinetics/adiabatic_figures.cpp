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
    return run.charge_j_per_k.value * std::exp(p[log_charge]) +
           dosed_g * run.dose_specific_heat_j_per_g_k * std::exp(p[log_dose]);
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

// How a figure hangs on the unknowns of the fit and on the departures.
using Slopes = std::vector<double>;

std::array<Slopes, figure_count> slopesOf(const JointFit& fit, const PotRun& run, std::size_t place,
                                          const FigureValues& figures, const std::optional<LackOfFit>& lack) {
    std::array<Slopes, figure_count> slopes;
    for (Slopes& one : slopes) {
        one.assign(fit.values.size() + departure_count, 0.0);
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
    if (lack) {
        // The mean specific heat on the way up; that of half-cured resin is as the fit has it.
        const Parameters p = fit.parametersOf(place);
        const double charge_j_per_k = contentsJPerK(run, p, 0.0);
        const double contents_j_per_k = contentsJPerK(run, p, run.dosed_g);
        const auto by_warming = [&](double rise_k, double capacity_j_per_k) {
            return -rise_k * charge_j_per_k / capacity_j_per_k * warming_share_per_k *
                   (p[start] + 0.5 * rise_k - lack->middle_c);
        };
        const std::size_t warming = fit.values.size() + warming_charge;
        slopes[rise][warming] = by_warming(figures[rise], contents_j_per_k + vesselJPerK(run, p));
        slopes[rise_alone][warming] = by_warming(figures[rise_alone], contents_j_per_k);
    }
    return slopes;
}

double variance(const Slopes& slopes, const std::vector<std::vector<double>>& covariance) {
    double sum = 0.0;
    for (std::size_t i = 0; i < covariance.size(); ++i) {
        for (std::size_t k = 0; k < covariance.size(); ++k) {
            sum += slopes[i] * covariance[i][k] * slopes[k];
        }
    }
    return std::max(0.0, sum);
}

// An interval of a figure, by how much it reaches down and up.
struct Reach {
    double down = 0.0;
    double up = 0.0;
    [[nodiscard]] double u() const { return 0.5 * (down + up) / coverage_factor_95; }
};

Reach reachOf(const Slopes& slopes, const JointFit& fit, const std::optional<LackOfFit>& lack) {
    const double half = coverage_factor_95 * std::sqrt(variance(slopes, fit.covariance));
    Reach reach{half, half};
    if (lack) {
        const double wide = coverage_factor_95 * std::sqrt(variance(slopes, lack->covariance));
        double moved = 0.0;
        for (std::size_t i = 0; i < lack->move.size(); ++i) {
            moved += slopes[i] * lack->move[i];
        }
        reach = {std::max(half, wide - moved), std::max(half, wide + moved)};
    }
    return reach;
}

Estimate estimate(double value, const Reach& reach) {
    return {.value = value, .u = reach.u(), .low = value - reach.down, .high = value + reach.up};
}

std::optional<Estimate> timeOf(double log_s, const Reach& reach) {
    if (!std::isfinite(log_s) || !std::isfinite(reach.u())) {
        return std::nullopt;
    }
    const double time_s = std::exp(log_s);
    constexpr double farthest = 50.0; // beyond it an interval says nothing
    return Estimate{.value = time_s,
                    .u = time_s * reach.u(),
                    .low = std::exp(log_s - std::min(reach.down, farthest)),
                    .high = std::exp(log_s + std::min(reach.up, farthest))};
}

} // namespace

AdiabaticFigures adiabaticFigures(const JointFit& fit, const PotRun& run, const findings::RunStudy& study,
                                  std::size_t place, const std::optional<LackOfFit>& lack) {
    const Parameters p = fit.parametersOf(place);
    const FigureValues found = figuresAt(run, p, fit.settings);
    const std::array<Slopes, figure_count> slopes = slopesOf(fit, run, place, found, lack);
    std::array<Reach, figure_count> reach;
    for (std::size_t f = 0; f < figure_count; ++f) {
        reach[f] = reachOf(slopes[f], fit, lack);
    }
    AdiabaticFigures figures{.thermal_inertia = estimate(found[inertia], reach[inertia]),
                             .rise_k = estimate(found[rise], reach[rise]),
                             .rise_without_vessel_k = estimate(found[rise_alone], reach[rise_alone]),
                             .time_to_maximum_s = timeOf(found[log_time], reach[log_time]),
                             .time_to_maximum_without_vessel_s = timeOf(found[log_time_alone], reach[log_time_alone])};
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
    const double thermocouple_k = coverage_factor_95 * run.thermocouple_u_k;
    figures.mtsr_c = estimate(highest_c, {.down = std::hypot(still_share * reach[rise].down, thermocouple_k),
                                          .up = std::hypot(still_share * reach[rise].up, thermocouple_k)});
    return figures;
}

} // namespace potwatch::kinetics
