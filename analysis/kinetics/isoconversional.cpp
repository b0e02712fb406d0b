// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/kinetics/isoconversional.h"

#include "analysis/forecast/cure_law.h"
#include "analysis/kinetics/line_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <string>
#include <utility>

namespace potwatch::kinetics {

namespace {

constexpr double zero_celsius_k = 273.15;
constexpr double joules_per_kilojoule = 1000.0;
constexpr std::size_t fewest_runs = 3;
constexpr std::size_t fewest_for_order = 4;
// Runs whose catalyst differs by less count as having the same.
constexpr double same_catalyst = 0.01;
// The order cannot be told where less than this share of the catalyst's variance is left beside the temperature's.
constexpr double least_own_share = 1e-4;
// From this half width on the interval of an order or of an energy (relative) is said to be wide.
constexpr double wide_order = 0.5;
constexpr double wide_energy = 0.3;

Fault refusal(std::string what, std::string remedy) {
    return {.kind = FaultKind::missing, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

// One run at one degree.
struct Point {
    std::size_t run = 0;
    double per_kelvin = 0.0; // 1/T
    double log_rate = 0.0;
    double log_catalyst = 0.0; // 0 where none counts
    double temperature_c = 0.0;
};

struct Level {
    double degree = 0.0;
    std::vector<Point> points;
};

constexpr std::size_t nobody = std::numeric_limits<std::size_t>::max();

// Columns of a level without one run.
struct Columns {
    std::vector<double> per_kelvin;
    std::vector<double> log_rate;
    std::vector<double> log_catalyst;
};

Columns columnsOf(const Level& level, std::size_t without) {
    Columns columns;
    for (const Point& point : level.points) {
        if (point.run != without) {
            columns.per_kelvin.push_back(point.per_kelvin);
            columns.log_rate.push_back(point.log_rate);
            columns.log_catalyst.push_back(point.log_catalyst);
        }
    }
    return columns;
}

std::vector<double> residuals(const std::vector<double>& x, const std::vector<double>& y) {
    const LineFit line = fitLine(x, y);
    std::vector<double> off(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
        off[i] = y[i] - line.intercept - line.slope * x[i];
    }
    return off;
}

// The order of the catalyst that all degrees agree on: what of rate and catalyst does not hang on the temperature, one
// against the other. Source: partitioned least squares (R. Frisch, F. V. Waugh, Econometrica 1 (1933) 387).
std::optional<double> orderOf(const std::vector<Level>& levels, std::size_t without) {
    double products = 0.0;
    double squares = 0.0;
    double whole = 0.0;
    for (const Level& level : levels) {
        const Columns columns = columnsOf(level, without);
        if (columns.per_kelvin.size() < fewest_runs) {
            continue; // two runs lie on a line in any case
        }
        const std::vector<double> catalyst = residuals(columns.per_kelvin, columns.log_catalyst);
        const std::vector<double> rate = residuals(columns.per_kelvin, columns.log_rate);
        double mean = 0.0;
        for (const double value : columns.log_catalyst) {
            mean += value / static_cast<double>(columns.log_catalyst.size());
        }
        for (std::size_t i = 0; i < catalyst.size(); ++i) {
            products += catalyst[i] * rate[i];
            squares += catalyst[i] * catalyst[i];
            whole += (columns.log_catalyst[i] - mean) * (columns.log_catalyst[i] - mean);
        }
    }
    if (!(whole > 0.0) || !(squares > least_own_share * whole)) {
        return std::nullopt;
    }
    return products / squares;
}

LineFit energyLine(const Level& level, double order, std::size_t without) {
    Columns columns = columnsOf(level, without);
    for (std::size_t i = 0; i < columns.log_rate.size(); ++i) {
        columns.log_rate[i] -= order * columns.log_catalyst[i];
    }
    return fitLine(columns.per_kelvin, columns.log_rate);
}

double energyOf(const LineFit& line) {
    return -forecast::gas_constant_j_per_mol_k * line.slope / joules_per_kilojoule;
}

// Standard uncertainty from the values that the others give when each is left out.
double leaveOneOutU(const std::vector<double>& values) {
    const auto count = static_cast<double>(values.size());
    double mean = 0.0;
    for (const double value : values) {
        mean += value / count;
    }
    double squares = 0.0;
    for (const double value : values) {
        squares += (value - mean) * (value - mean);
    }
    return std::sqrt(squares * (count - 1.0) / count);
}

std::vector<std::size_t> runsOf(const std::vector<Level>& levels) {
    std::vector<std::size_t> runs;
    for (const Level& level : levels) {
        for (const Point& point : level.points) {
            runs.push_back(point.run);
        }
    }
    std::sort(runs.begin(), runs.end());
    runs.erase(std::unique(runs.begin(), runs.end()), runs.end());
    return runs;
}

// Why rates may not be compared as they stand; nothing if they may.
std::optional<Fault> catalystStandsInTheWay(std::span<const CureCourse> courses, const std::vector<double>& degrees) {
    double lowest = std::numeric_limits<double>::infinity();
    double highest = -lowest;
    for (const CureCourse& course : courses) {
        if (dosedBetween(course, degrees.front(), degrees.back())) {
            return refusal(fmt::format("{}: the catalyst is dosed while the resin cures, so the rate rises for two "
                                       "reasons and this method would take both for the temperature's",
                                       course.run),
                           "divide the rate by the catalyst's power law: state its order or have it found");
        }
        if (const auto moment = passing(course, degrees.front()); moment && !course.catalyst_g_per_g.empty()) {
            lowest = std::min(lowest, moment->catalyst_g_per_g);
            highest = std::max(highest, moment->catalyst_g_per_g);
        }
    }
    if (highest > lowest && highest - lowest > same_catalyst * highest) {
        return refusal(
            "the runs differ in their catalyst, and this method would take that for the temperature's effect",
            "divide the rate by the catalyst's power law: state its order or have it found");
    }
    return std::nullopt;
}

void addLevel(ModelFree& found, const Level& level, const Estimate& energy) {
    const auto [coldest, hottest] =
        std::minmax_element(level.points.begin(), level.points.end(),
                            [](const Point& a, const Point& b) { return a.temperature_c < b.temperature_c; });
    found.at.push_back({.degree = level.degree,
                        .e_kj_per_mol = energy,
                        .runs = level.points.size(),
                        .t_min_c = coldest->temperature_c,
                        .t_max_c = hottest->temperature_c});
}

void statedOrder(ModelFree& found, const std::vector<Level>& levels, const Estimate& order) {
    for (const Level& level : levels) {
        const LineFit line = energyLine(level, order.value, nobody);
        const Columns columns = columnsOf(level, nobody);
        const LineFit catalyst = fitLine(columns.per_kelvin, columns.log_catalyst);
        const double factor = forecast::gas_constant_j_per_mol_k / joules_per_kilojoule;
        Estimate energy = studentEstimate(energyOf(line), factor * line.slope_u, line.degrees);
        if (order.u > 0.0) {
            const double half =
                std::hypot(energy.high - energy.value, coverage_factor_95 * factor * catalyst.slope * order.u);
            energy = {.value = energy.value,
                      .u = std::hypot(energy.u, factor * catalyst.slope * order.u),
                      .low = energy.value - half,
                      .high = energy.value + half};
        }
        addLevel(found, level, energy);
    }
}

// False where the order cannot be told.
bool foundOrder(ModelFree& found, const std::vector<Level>& levels) {
    const std::optional<double> order = orderOf(levels, nobody);
    if (!order) {
        return false;
    }
    const std::vector<std::size_t> runs = runsOf(levels);
    std::vector<double> orders;
    std::vector<std::vector<double>> energies(levels.size());
    for (const std::size_t run : runs) {
        const std::optional<double> without = orderOf(levels, run);
        if (!without) {
            return false; // it hangs on this one run
        }
        orders.push_back(*without);
        for (std::size_t j = 0; j < levels.size(); ++j) {
            energies[j].push_back(energyOf(energyLine(levels[j], *without, run)));
        }
    }
    const auto degreesOf = [](std::size_t count) { return static_cast<double>(count) - 3.0; };
    found.catalyst_order = studentEstimate(*order, leaveOneOutU(orders), degreesOf(runs.size()));
    for (std::size_t j = 0; j < levels.size(); ++j) {
        addLevel(found, levels[j],
                 studentEstimate(energyOf(energyLine(levels[j], *order, nobody)), leaveOneOutU(energies[j]),
                                 degreesOf(levels[j].points.size())));
    }
    return true;
}

void judge(ModelFree& found) {
    if (found.order_found && found.catalyst_order->high - found.catalyst_order->value > wide_order) {
        found.warnings.push_back(fmt::format("the runs hardly tell the catalyst's order ({:.1f} to {:.1f}): add runs "
                                             "with another amount of it, or state the order",
                                             found.catalyst_order->low, found.catalyst_order->high));
    }
    const bool wide = std::any_of(found.at.begin(), found.at.end(), [](const EnergyAtDegree& one) {
        return one.e_kj_per_mol.high - one.e_kj_per_mol.value > wide_energy * std::abs(one.e_kj_per_mol.value);
    });
    if (wide) {
        found.warnings.emplace_back("some intervals of the activation energy are wide: the runs are few, pass these "
                                    "degrees at nearly the same temperature, or do not agree");
    }
}

} // namespace

Result<ModelFree> friedman(std::span<const CureCourse> courses, const FriedmanSettings& settings) {
    for (const CureCourse& course : courses) {
        if (auto fault = faultIn(course)) {
            return tl::unexpected(*std::move(fault));
        }
    }
    const bool find = settings.order == CatalystOrder::found;
    const std::size_t needed = find ? fewest_for_order : fewest_runs;
    const char* const why = find ? "four runs, as the catalyst's order is found from them too" : "three runs";
    if (courses.size() < needed || settings.degrees.empty()) {
        return tl::unexpected(
            refusal(fmt::format("{} given: the Friedman method needs {}",
                                courses.size() == 1 ? "one run is" : fmt::format("{} runs are", courses.size()), why),
                    find ? "add runs, or state the catalyst's order" : "add runs"));
    }
    if (settings.order == CatalystOrder::none) {
        if (auto fault = catalystStandsInTheWay(courses, settings.degrees)) {
            return tl::unexpected(*std::move(fault));
        }
    }
    ModelFree found{.method = "Friedman"};
    std::vector<Level> levels;
    for (const double degree : settings.degrees) {
        Level level{.degree = degree};
        for (std::size_t run = 0; run < courses.size(); ++run) {
            const auto moment = passing(courses[run], degree);
            const bool counts = settings.order != CatalystOrder::none && !courses[run].catalyst_g_per_g.empty();
            if (!moment || !(moment->rate_per_s > 0.0) || (counts && !(moment->catalyst_g_per_g > 0.0))) {
                continue;
            }
            level.points.push_back({.run = run,
                                    .per_kelvin = 1.0 / (moment->temperature_c + zero_celsius_k),
                                    .log_rate = std::log(moment->rate_per_s),
                                    .log_catalyst = counts ? std::log(moment->catalyst_g_per_g) : 0.0,
                                    .temperature_c = moment->temperature_c});
        }
        if (level.points.size() < needed ||
            !(fitLine(columnsOf(level, nobody).per_kelvin, columnsOf(level, nobody).log_rate).squares_of_x > 0.0)) {
            found.warnings.push_back(fmt::format("degree {:g}: only {} of the runs pass it, no activation energy there",
                                                 degree, level.points.size()));
            continue;
        }
        levels.push_back(std::move(level));
    }
    if (levels.empty()) {
        return tl::unexpected(
            refusal(fmt::format("no degree of cure is passed by enough of the runs; it takes {}", why),
                    "add runs that cure further"));
    }
    switch (settings.order) {
    case CatalystOrder::none:
        statedOrder(found, levels, {});
        break;
    case CatalystOrder::stated:
        found.catalyst_order = settings.stated;
        statedOrder(found, levels, settings.stated);
        break;
    case CatalystOrder::found:
        found.order_found = true;
        if (!foundOrder(found, levels)) {
            return tl::unexpected(refusal("the runs do not tell the catalyst's order apart from the temperature's "
                                          "effect: they have the same catalyst at the same degree, or it moves with "
                                          "the temperature",
                                          "add runs with another amount of catalyst, or state its order"));
        }
        break;
    }
    judge(found);
    return found;
}

} // namespace potwatch::kinetics
