// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/compare.h"

#include "app/format/number.h"
#include "app/session/compare_points.h"
#include "io/batch/nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

namespace potwatch::session {

using compare::ComparedRun;
using compare::Figure;
using compare::FigureValue;
using compare::TrendPoint;

namespace {

void fillTable(std::span<const ComparedRun> runs, Comparison& comparison) {
    comparison.table.resize(runs.size());
    for (const Figure& figure : compare::figures()) {
        std::vector<FigureValue> column;
        bool any = false;
        for (const ComparedRun& run : runs) {
            column.push_back(figure.of(run));
            any = any || column.back().estimate || !column.back().text.empty();
        }
        // The axes are shown even where they are all unknown: why is then in the cells.
        if (!any && &figure != comparison.x && &figure != comparison.y) {
            continue;
        }
        comparison.columns.push_back(&figure);
        for (std::size_t i = 0; i < runs.size(); ++i) {
            comparison.table[i].push_back(std::move(column[i]));
        }
    }
}

// The faults of analysis/ are of points; here they are of runs.
std::string sentence(const Fault& fault) {
    return fault.remedy.empty() ? fault.what : fault.what + "; " + fault.remedy;
}

class Comparer {
public:
    Comparer(std::span<const ComparedRun> runs, Comparison& comparison)
        : runs_(runs)
        , comparison_(comparison) {}

    void fit() {
        for (const ScatterPoint& point : comparison_.scatter) {
            if (point.counts()) {
                points_.push_back(*point.point);
            } else {
                comparison_.warnings.push_back(
                    fmt::format("{} is not in the trend: {}", comparison_.names[point.run], point.left_out));
            }
        }
        if (points_.empty()) {
            comparison_.no_trend = fmt::format("no run has both {} and {}", comparison_.x->title, comparison_.y->title);
            return;
        }
        Result<compare::Trend> trend = compare::fitTrend(points_, comparison_.request.form);
        if (!trend) {
            comparison_.no_trend = sentence(trend.error());
            return;
        }
        comparison_.trend = *std::move(trend);
        const std::string differences = otherDifferences(runs_, comparison_.scatter, *comparison_.x, *comparison_.y);
        if (!differences.empty()) {
            comparison_.warnings.push_back(differences);
        }
    }

    void meetLimit() {
        if (!comparison_.request.limit) {
            return;
        }
        const double limit = *comparison_.request.limit;
        sayWhereTheLimitLies(limit);
        if (!comparison_.trend) {
            comparison_.no_limit = points_.empty() ? comparison_.no_trend : "without a trend: " + comparison_.no_trend;
        } else if (Result<compare::AtLimit> met = compare::atLimit(*comparison_.trend, limit)) {
            comparison_.at_limit = *met;
            if (comparison_.trend->degrees == 0.0) {
                comparison_.warnings.emplace_back("a trend through two runs has no interval: a third run shows how far "
                                                  "runs stray from it");
            }
        } else {
            comparison_.no_limit = sentence(met.error());
        }
        if (comparison_.x->key == "dose_rate_g_per_min" && comparison_.y->key == "peak_temperature_c") {
            comparison_.next = compare::nextRate(points_, comparison_.trend ? &*comparison_.trend : nullptr,
                                                 comparison_.at_limit ? &*comparison_.at_limit : nullptr, limit);
        }
    }

    void drawBands() {
        if (!comparison_.trend) {
            return;
        }
        const compare::Trend& trend = *comparison_.trend;
        double from = trend.x_low;
        double to = trend.x_high;
        constexpr double near = 2.0; // further away an extrapolation would fill the picture
        if (comparison_.at_limit) {
            const double x = comparison_.at_limit->x;
            from = x < from && x * near > from ? x : from;
            to = x > to && x < to * near ? x : to;
        }
        comparison_.bands = compare::trendBands(trend, from, to);
    }

private:
    void sayWhereTheLimitLies(double limit) {
        if (points_.empty()) {
            return;
        }
        const auto [low, high] = std::minmax_element(
            points_.begin(), points_.end(), [](const TrendPoint& a, const TrendPoint& b) { return a.y < b.y; });
        const std::string at = fmt::format("{} {}", format::numberText(limit), comparison_.y->unit);
        if (low->y > limit) {
            comparison_.warnings.push_back(fmt::format("the limit of {} lies below every run: the lowest {} is {}{} {}",
                                                       at, comparison_.y->title, low->at_least ? "at least " : "",
                                                       format::numberText(low->y, 4), comparison_.y->unit));
        } else if (high->y < limit) {
            comparison_.warnings.push_back(fmt::format("the limit of {} lies above every run: the highest {} is {} {}",
                                                       at, comparison_.y->title, format::numberText(high->y, 4),
                                                       comparison_.y->unit));
        }
        for (const TrendPoint& point : points_) {
            if (point.at_least && comparison_.y->key == "peak_temperature_c" && limit > point.y) {
                comparison_.warnings.push_back(fmt::format("the limit of {} lies above the boiling point ({} °C): a "
                                                           "pot boils before it comes there",
                                                           at, format::numberText(point.y, 4)));
                break;
            }
        }
    }

    std::span<const ComparedRun> runs_;
    Comparison& comparison_;
    std::vector<TrendPoint> points_;
};

} // namespace

std::vector<std::string> uniqueNames(std::span<const std::string> names) {
    std::vector<std::string> unique;
    std::set<std::string> taken;
    for (const std::string& wanted : names) {
        std::string name = wanted;
        for (int number = 2; !taken.insert(name).second; ++number) {
            name = fmt::format("{} ({})", wanted, number);
        }
        unique.push_back(std::move(name));
    }
    return unique;
}

Result<const Figure*> figureFor(std::string_view key, bool number) {
    const Figure* figure = compare::findFigure(key);
    if (figure != nullptr && (!number || !figure->is_text)) {
        return figure;
    }
    std::vector<std::string> keys;
    for (const Figure& one : compare::figures()) {
        if (!number || !one.is_text) {
            keys.emplace_back(one.key);
        }
    }
    const std::optional<std::size_t> near = batch::nearest(key, keys);
    return tl::unexpected(Fault{.kind = FaultKind::input,
                                .what = figure != nullptr ? fmt::format("\"{}\" is a text, not a number", key)
                                                          : fmt::format("there is no figure \"{}\"", key),
                                .remedy = near && figure == nullptr
                                              ? fmt::format("did you mean \"{}\"?", keys[*near])
                                              : "the keys are those of the table with --json or --csv"});
}

Result<Comparison> compareRuns(std::span<const ComparedRun> runs, const CompareRequest& request) {
    if (runs.empty()) {
        return tl::unexpected(Fault{
            .kind = FaultKind::input, .what = "there is no run to compare", .remedy = "name the tables of some runs"});
    }
    const Result<const Figure*> x = figureFor(request.x);
    if (!x) {
        return tl::unexpected(x.error());
    }
    const Result<const Figure*> y = figureFor(request.y);
    if (!y) {
        return tl::unexpected(y.error());
    }
    Comparison comparison;
    comparison.request = request;
    comparison.x = *x;
    comparison.y = *y;
    for (const ComparedRun& run : runs) {
        comparison.names.push_back(run.name);
    }
    comparison.names = uniqueNames(comparison.names);
    fillTable(runs, comparison);
    comparison.aligned = compare::aligned(runs, request.align);
    comparison.scatter = scatterOf(runs, comparison.names, **x, **y);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (!comparison.aligned[i].offset_s) {
            comparison.warnings.push_back(
                fmt::format("{} is not in the overlay: {}", comparison.names[i], comparison.aligned[i].missing));
        }
    }
    Comparer comparer(runs, comparison);
    comparer.fit();
    comparer.meetLimit();
    comparer.drawBands();
    return comparison;
}

} // namespace potwatch::session
