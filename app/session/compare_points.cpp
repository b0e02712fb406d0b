// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/compare_points.h"

#include "app/format/number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string_view>

namespace potwatch::session {

using compare::ComparedRun;
using compare::Figure;
using compare::FigureValue;
using compare::TrendPoint;

namespace {

// A pot that boiled stood at its boiling point while it would have become hotter: the figure is known from there up.
TrendPoint pointOf(const ComparedRun& run, const Figure& y, double x, const FigureValue& value) {
    const bool is_temperature = y.group == compare::FigureGroup::landmarks && y.unit == "°C";
    const Estimate estimate = is_temperature ? compare::withoutCommonError(run, *value.estimate) : *value.estimate;
    const std::optional<double> boiling_c = compare::boilingPointOf(run);
    const auto& peak = run.findings.landmarks.peak;
    if (!value.at_least || !run.findings.landmarks.boil_plateau || !boiling_c || !peak) {
        return {.x = x, .y = estimate.value, .u = estimate.u, .at_least = value.at_least};
    }
    if (y.key == "peak_temperature_c" || y.key == "peak_reading_c") {
        return {.x = x, .y = *boiling_c, .u = 0.0, .at_least = true};
    }
    const double beyond_k = std::max(peak->temperature_c.value - *boiling_c, 0.0);
    return {.x = x, .y = estimate.value - beyond_k, .u = 0.0, .at_least = true};
}

// What else a comparison takes for equal: a difference beyond `tolerance` (relative) or `by` is worth a word.
struct Condition {
    std::string_view key;
    double tolerance = 0.02;
    double by = 0.0;
};
constexpr std::array<Condition, 9> conditions{{{"resin_g"},
                                               {"dose_total_g"},
                                               {"dose_substance"},
                                               {"vessel"},
                                               {"vessel_heat_capacity_j_per_k"},
                                               {"heater_w"},
                                               {"start_temperature_c", 0.0, 3.0},
                                               {"surroundings_c", 0.0, 3.0},
                                               {"heat_of_reaction_j_per_g"}}};

std::string spread(const std::vector<FigureValue>& values, const Condition& condition, const Figure& figure) {
    if (figure.is_text) {
        std::set<std::string> words;
        for (const FigureValue& value : values) {
            if (!value.text.empty()) {
                words.insert(value.text);
            }
        }
        return words.size() > 1 ? fmt::format("{} ({})", figure.title, fmt::join(words, ", ")) : std::string();
    }
    std::vector<double> numbers;
    for (const FigureValue& value : values) {
        if (value.estimate) {
            numbers.push_back(value.estimate->value);
        }
    }
    if (numbers.empty()) {
        return {};
    }
    const auto [low, high] = std::minmax_element(numbers.begin(), numbers.end());
    if (*high - *low <= std::max(condition.tolerance * std::abs(*high), condition.by)) {
        return {};
    }
    return fmt::format("{} ({} to {} {})", figure.title, format::numberText(*low, 3), format::numberText(*high, 3),
                       figure.unit);
}

} // namespace

std::vector<ScatterPoint> scatterOf(std::span<const ComparedRun> runs, std::span<const std::string> names,
                                    const Figure& x, const Figure& y) {
    std::vector<ScatterPoint> scatter;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const ComparedRun& run = runs[i];
        ScatterPoint point{.run = i, .point = std::nullopt, .left_out = {}};
        const FigureValue at_x = x.of(run);
        const FigureValue at_y = y.of(run);
        if (at_x.estimate && at_y.estimate) {
            point.point = pointOf(run, y, at_x.estimate->value, at_y);
        }
        const auto same =
            std::find_if(runs.begin(), runs.begin() + static_cast<std::ptrdiff_t>(i), [&](const ComparedRun& other) {
                return !run.content.empty() && other.content == run.content;
            });
        if (run.batch.blank) {
            point.left_out = "a blank: nothing cures in it";
        } else if (!run.findings.cure.second_heating_of.empty()) {
            point.left_out = "a second heating of a piece that has cured before";
        } else if (same != runs.begin() + static_cast<std::ptrdiff_t>(i)) {
            point.left_out = fmt::format("the same samples as {}: a run counts once",
                                         names[static_cast<std::size_t>(same - runs.begin())]);
        } else if (!at_x.estimate) {
            point.left_out = fmt::format("{} unknown: {}", x.title, at_x.missing);
        } else if (!at_y.estimate) {
            point.left_out = fmt::format("{} unknown: {}", y.title, at_y.missing);
        }
        scatter.push_back(std::move(point));
    }
    return scatter;
}

std::string otherDifferences(std::span<const ComparedRun> runs, std::span<const ScatterPoint> scatter, const Figure& x,
                             const Figure& y) {
    std::vector<std::string> differences;
    for (const Condition& condition : conditions) {
        const Figure* figure = compare::findFigure(condition.key);
        if (figure == &x || figure == &y) {
            continue;
        }
        std::vector<FigureValue> values;
        for (const ScatterPoint& point : scatter) {
            if (point.counts()) {
                values.push_back(figure->of(runs[point.run]));
            }
        }
        std::string text = spread(values, condition, *figure);
        if (!text.empty()) {
            differences.push_back(std::move(text));
        }
    }
    if (differences.empty()) {
        return {};
    }
    return fmt::format("the runs differ in more than the {}: {}; the trend takes in what that does as well", x.title,
                       fmt::join(differences, ", "));
}

} // namespace potwatch::session
