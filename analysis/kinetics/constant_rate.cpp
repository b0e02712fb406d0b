// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/constant_rate.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/kinetics/line_fit.h"
#include "analysis/kinetics/temperature_integral.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <optional>
#include <string>
#include <utility>

namespace potwatch::kinetics {

namespace {

using forecast::gas_constant_j_per_mol_k;

constexpr double zero_celsius_k = 273.15;
constexpr double joules_per_kilojoule = 1000.0;
constexpr double seconds_per_minute = 60.0;
constexpr std::size_t fewest_rates = 3;
// Heating rates closer than this are one.
constexpr double same_rate = 0.02;
// The stretch in which the heating rate has to be constant, and how constant.
constexpr double from_degree = 0.02;
constexpr double to_degree = 0.98;
constexpr double off_line_k = 0.5;
constexpr double off_line_share = 0.01;
constexpr std::size_t fewest_rows = 8;
constexpr double same_catalyst = 0.01;
// Heating rates that span less than this factor make all of these methods weak. Common practice, no source.
constexpr double narrow_factor = 3.0;

constexpr double doyle_log10 = 0.4567;
constexpr double doyle_ln = 1.052;
constexpr double e698_first = 2.19;
constexpr double starink_power = 1.92;
constexpr double starink_factor = 1.0008;
constexpr int most_refinements = 50; // each gains a digit or more
constexpr double refined = 1e-12;

Fault refusal(std::string what, std::string remedy) {
    return {.kind = FaultKind::missing, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

double kelvin(const RatePoint& point) {
    return point.temperature_c + zero_celsius_k;
}

double perSecond(const RatePoint& point) {
    return point.heating_k_per_min / seconds_per_minute;
}

double meanKelvin(std::span<const RatePoint> points) {
    double sum = 0.0;
    for (const RatePoint& point : points) {
        sum += kelvin(point);
    }
    return sum / static_cast<double>(points.size());
}

std::optional<Fault> unusable(std::span<const RatePoint> points) {
    std::vector<double> rates;
    for (const RatePoint& point : points) {
        if (!(point.heating_k_per_min > 0.0) || !(kelvin(point) > 0.0)) {
            return Fault{.kind = FaultKind::range,
                         .what = fmt::format("a heating rate of {} K/min at {} °C cannot be", point.heating_k_per_min,
                                             point.temperature_c),
                         .where = {},
                         .remedy = "give rates above zero"};
        }
        const auto is_new = [&](double rate) {
            return std::abs(rate - point.heating_k_per_min) > same_rate * point.heating_k_per_min;
        };
        if (std::all_of(rates.begin(), rates.end(), is_new)) {
            rates.push_back(point.heating_k_per_min);
        }
    }
    if (rates.size() < fewest_rates) {
        return refusal(fmt::format("{} given: these methods need three at least",
                                   rates.size() == 1 ? "one heating rate is"
                                                     : fmt::format("{} different heating rates are", rates.size())),
                       "add runs at other heating rates, five to ten times as fast for one");
    }
    return std::nullopt;
}

// Slope of ln(beta / T^power) against 1/T [K], falling.
Result<LineFit> arrheniusLine(std::span<const RatePoint> points, double power) {
    if (auto fault = unusable(points)) {
        return tl::unexpected(*std::move(fault));
    }
    std::vector<double> x;
    std::vector<double> y;
    for (const RatePoint& point : points) {
        x.push_back(1.0 / kelvin(point));
        y.push_back(std::log(perSecond(point)) - power * std::log(kelvin(point)));
    }
    const LineFit line = fitLine(x, y);
    if (!(line.slope < 0.0)) {
        return tl::unexpected(refusal("the temperatures do not rise with the heating rate", "check the runs"));
    }
    return line;
}

Estimate energyOf(const LineFit& line, double divisor) {
    const double factor = gas_constant_j_per_mol_k / joules_per_kilojoule / divisor;
    return studentEstimate(-factor * line.slope, factor * line.slope_u, line.degrees);
}

// Divides the slope by what `divisor` says at x = E / (R T mean), again and again until it stays.
template<class Divisor>
Estimate refinedEnergy(const LineFit& line, std::span<const RatePoint> points, double first, const Divisor& divisor) {
    const double mean_k = meanKelvin(points);
    double by = first;
    for (int i = 0; i < most_refinements; ++i) {
        const double next = divisor(-line.slope / (by * mean_k));
        const bool stays = std::abs(next - by) < refined * by;
        by = next;
        if (stays) {
            break;
        }
    }
    return energyOf(line, by);
}

// Frequency factor of a first-order cure that is fastest at the middle one of the peaks (the upper of two).
// Source: ASTM E698, A = beta E exp(E / RT) / (R T^2).
double frequencyFactor(std::span<const RatePoint> peaks, double e_kj_per_mol) {
    std::vector<RatePoint> sorted(peaks.begin(), peaks.end());
    std::sort(sorted.begin(), sorted.end(),
              [](const RatePoint& a, const RatePoint& b) { return a.heating_k_per_min < b.heating_k_per_min; });
    const RatePoint& middle = sorted[sorted.size() / 2];
    const double energy_k = e_kj_per_mol * joules_per_kilojoule / gas_constant_j_per_mol_k;
    return perSecond(middle) * energy_k * std::exp(energy_k / kelvin(middle)) / (kelvin(middle) * kelvin(middle));
}

EnergyFromPeaks fromPeaks(std::string method, std::span<const RatePoint> peaks, const Estimate& energy) {
    return {.method = std::move(method),
            .e_kj_per_mol = energy,
            .a_per_s = frequencyFactor(peaks, energy.value),
            .runs = peaks.size()};
}

EnergyAtDegree atDegree(std::span<const RatePoint> points, double degree, const Estimate& energy) {
    const auto [coldest, hottest] =
        std::minmax_element(points.begin(), points.end(),
                            [](const RatePoint& a, const RatePoint& b) { return a.temperature_c < b.temperature_c; });
    return {.degree = degree,
            .e_kj_per_mol = energy,
            .runs = points.size(),
            .t_min_c = coldest->temperature_c,
            .t_max_c = hottest->temperature_c};
}

double e698Divisor(double x) {
    return 1.0 + 2.0 / x;
}

double flynnWallDivisor(double x) {
    return temperatureIntegralSlope(x) * std::numbers::ln10;
}

} // namespace

Result<EnergyFromPeaks> kissinger(std::span<const RatePoint> peaks) {
    return arrheniusLine(peaks, 2.0).map([&](const LineFit& line) {
        EnergyFromPeaks found = fromPeaks("Kissinger", peaks, energyOf(line, 1.0));
        // Its own intercept is ln(A R / E).
        found.a_per_s = std::exp(line.intercept) * -line.slope;
        return found;
    });
}

Result<EnergyFromPeaks> ozawa(std::span<const RatePoint> peaks) {
    return arrheniusLine(peaks, 0.0).map([&](const LineFit& line) {
        return fromPeaks("Ozawa", peaks, energyOf(line, doyle_log10 * std::numbers::ln10));
    });
}

Result<EnergyFromPeaks> astmE698(std::span<const RatePoint> peaks) {
    return arrheniusLine(peaks, 0.0).map([&](const LineFit& line) {
        return fromPeaks("ASTM E698", peaks, refinedEnergy(line, peaks, std::numbers::ln10 / e698_first, e698Divisor));
    });
}

Result<EnergyAtDegree> kas(std::span<const RatePoint> points, double degree) {
    return arrheniusLine(points, 2.0).map([&](const LineFit& line) {
        return atDegree(points, degree, energyOf(line, 1.0));
    });
}

Result<EnergyAtDegree> starink(std::span<const RatePoint> points, double degree) {
    return arrheniusLine(points, starink_power).map([&](const LineFit& line) {
        return atDegree(points, degree, energyOf(line, starink_factor));
    });
}

Result<EnergyAtDegree> flynnWallOzawa(std::span<const RatePoint> points, double degree) {
    return arrheniusLine(points, 0.0).map([&](const LineFit& line) {
        return atDegree(points, degree, energyOf(line, doyle_ln));
    });
}

Result<EnergyAtDegree> flynnWallOzawaRefined(std::span<const RatePoint> points, double degree) {
    return arrheniusLine(points, 0.0).map([&](const LineFit& line) {
        return atDegree(points, degree, refinedEnergy(line, points, doyle_ln, flynnWallDivisor));
    });
}

Result<double> constantHeatingRate(const CureCourse& course) {
    if (auto fault = faultIn(course)) {
        return tl::unexpected(*std::move(fault));
    }
    const std::string name = course.run.empty() ? "a run" : course.run;
    if (dosedBetween(course, from_degree, to_degree)) {
        return tl::unexpected(refusal(
            fmt::format(
                "{}: the catalyst is dosed while the resin cures, so the fastest cure moves for two reasons and "
                "methods of constant heating rate would take both for the temperature's",
                name),
            "use the Friedman method with the catalyst's order, or a fit"));
    }
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    for (std::size_t i = 0; i < course.time_s.size(); ++i) {
        if (course.degree[i] >= from_degree && course.degree[i] <= to_degree &&
            std::isfinite(course.temperature_c[i])) {
            time_s.push_back(course.time_s[i]);
            temperature_c.push_back(course.temperature_c[i]);
        }
    }
    if (time_s.size() < fewest_rows) {
        return tl::unexpected(
            refusal(fmt::format("{}: too few rows between the degrees {} and {}", name, from_degree, to_degree),
                    "record more often"));
    }
    const LineFit line = fitLine(time_s, temperature_c);
    double off_k = 0.0;
    double off_at_s = 0.0;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        const double here_k = std::abs(temperature_c[i] - line.intercept - line.slope * time_s[i]);
        if (here_k > off_k) {
            off_k = here_k;
            off_at_s = time_s[i];
        }
    }
    const double way_k = line.slope * (time_s.back() - time_s.front());
    if (!(line.slope > 0.0) || off_k > std::max(off_line_k, off_line_share * way_k)) {
        return tl::unexpected(refusal(
            fmt::format(
                "{}: its heating rate is not constant (at {:.0f} s, while the resin cures, the temperature is {:.1f} K "
                "off a straight line)",
                name, off_at_s, off_k),
            "these methods are for small samples that follow an oven; use the Friedman method or a fit"));
    }
    return line.slope * seconds_per_minute;
}

Result<ConstantRateFindings> constantRateEnergies(std::span<const CureCourse> courses,
                                                  std::span<const double> degrees) {
    ConstantRateFindings found;
    std::vector<RatePoint> peaks;
    double least_catalyst = std::numeric_limits<double>::infinity();
    double most_catalyst = -least_catalyst;
    for (const CureCourse& course : courses) {
        const Result<double> rate = constantHeatingRate(course);
        if (!rate) {
            return tl::unexpected(rate.error());
        }
        found.heating_k_per_min.push_back(*rate);
        if (const auto peak = fastest(course)) {
            peaks.push_back({.heating_k_per_min = *rate, .temperature_c = peak->temperature_c});
            least_catalyst = std::min(least_catalyst, peak->catalyst_g_per_g);
            most_catalyst = std::max(most_catalyst, peak->catalyst_g_per_g);
        } else {
            found.warnings.push_back(fmt::format("{}: no fastest cure within the run, left out of Kissinger, Ozawa and "
                                                 "ASTM E698",
                                                 course.run));
        }
    }
    if (most_catalyst > least_catalyst && most_catalyst - least_catalyst > same_catalyst * most_catalyst) {
        return tl::unexpected(refusal("the runs differ in their catalyst: methods of constant heating rate would take "
                                      "that for the temperature's effect",
                                      "use the Friedman method with the catalyst's order, or a fit"));
    }
    for (const auto method : {kissinger, ozawa, astmE698}) {
        Result<EnergyFromPeaks> energy = method(peaks);
        if (!energy) {
            return tl::unexpected(energy.error());
        }
        found.peaks.push_back(*std::move(energy));
    }
    ModelFree by_kas{.method = "KAS"};
    ModelFree by_flynn_wall{.method = "Flynn-Wall-Ozawa"};
    for (const double degree : degrees) {
        std::vector<RatePoint> points;
        for (std::size_t i = 0; i < courses.size(); ++i) {
            if (const auto moment = passing(courses[i], degree)) {
                points.push_back(
                    {.heating_k_per_min = found.heating_k_per_min[i], .temperature_c = moment->temperature_c});
            }
        }
        const Result<EnergyAtDegree> first = kas(points, degree);
        const Result<EnergyAtDegree> second = flynnWallOzawaRefined(points, degree);
        if (first && second) {
            by_kas.at.push_back(*first);
            by_flynn_wall.at.push_back(*second);
        } else {
            by_kas.warnings.push_back(
                fmt::format("degree {:g}: {}", degree, first ? second.error().what : first.error().what));
        }
    }
    by_flynn_wall.warnings = by_kas.warnings;
    found.by_degree = {std::move(by_kas), std::move(by_flynn_wall)};
    const auto [slowest, quickest] =
        std::minmax_element(found.heating_k_per_min.begin(), found.heating_k_per_min.end());
    if (*quickest < narrow_factor * *slowest) {
        found.warnings.push_back(fmt::format("the heating rates are close to each other ({:.3g} to {:.3g} K/min): the "
                                             "energies are weak; add a run five to ten times as fast",
                                             *slowest, *quickest));
    }
    return found;
}

} // namespace potwatch::kinetics
