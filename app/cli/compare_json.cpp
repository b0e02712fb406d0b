// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/compare_output.h"
#include "app/format/compare_text.h"
#include "app/format/findings_json.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <string>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json number(const std::optional<double>& value) {
    return value ? number(*value) : Json(nullptr);
}

Json numbers(const std::vector<double>& values) {
    Json list = Json::array();
    for (const double value : values) {
        list.push_back(number(value));
    }
    return list;
}

Json textOrNull(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

Json axis(const compare::Figure& figure) {
    return Json{{"key", figure.key}, {"title", figure.title}, {"unit", figure.unit}};
}

std::string_view nameOf(compare::NextReason reason) {
    switch (reason) {
    case compare::NextReason::stays_under:
        return "stays under";
    case compare::NextReason::between:
        return "between";
    case compare::NextReason::repeat:
        return "repeat";
    case compare::NextReason::step_up:
        return "step up";
    case compare::NextReason::step_down:
        return "step down";
    case compare::NextReason::all_boiled:
        return "all boiled";
    case compare::NextReason::one_run_under:
        return "one run, under";
    case compare::NextReason::one_run_over:
        return "one run, over";
    }
    return "";
}

Json row(const session::Comparison& comparison, const compare::ComparedRun& run, std::size_t i) {
    Json json{{"run", comparison.names[i]}, {"file", textOrNull(run.file)}};
    Json intervals = Json::object();
    Json at_least = Json::array();
    for (const compare::Figure& figure : compare::figures()) {
        const std::string key(figure.key);
        json[key] = nullptr;
        const auto column = std::find(comparison.columns.begin(), comparison.columns.end(), &figure);
        if (column == comparison.columns.end()) {
            continue;
        }
        const auto& value = comparison.table[i][static_cast<std::size_t>(column - comparison.columns.begin())];
        if (value.estimate) {
            json[key] = number(value.estimate->value);
            if (value.estimate->high > value.estimate->low) {
                intervals[key] = format::estimateJson(value.estimate);
            }
        } else if (!value.text.empty()) {
            json[key] = value.text;
        }
        if (value.at_least) {
            at_least.push_back(key);
        }
    }
    json["intervals"] = std::move(intervals);
    json["at_least"] = std::move(at_least);
    json["offset_s"] = number(comparison.aligned[i].offset_s);
    json["not_in_trend"] = textOrNull(comparison.scatter[i].left_out);
    return json;
}

Json bandsJson(const compare::TrendBands& bands) {
    return Json{{"x", numbers(bands.x)},
                {"y", numbers(bands.y)},
                {"low", numbers(bands.low)},
                {"high", numbers(bands.high)},
                {"run_low", numbers(bands.run_low)},
                {"run_high", numbers(bands.run_high)}};
}

Json trendJson(const session::Comparison& comparison) {
    const bool of_rate = comparison.x->key == "dose_rate_g_per_min";
    const bool in_celsius = comparison.y->unit == "°C";
    Json censored = Json::array();
    for (const session::ScatterPoint& point : comparison.scatter) {
        if (point.counts() && point.point->at_least) {
            censored.push_back(comparison.names[point.run]);
        }
    }
    const auto& at = comparison.at_limit;
    const std::optional<Estimate> estimate = at ? at->estimate : std::nullopt;
    Json json{{"form", nullptr},
              {"limit_c", in_celsius ? number(comparison.request.limit) : Json(nullptr)},
              {"limit", number(comparison.request.limit)},
              {"rate_at_limit_g_per_min", of_rate ? format::estimateJson(estimate) : Json(nullptr)},
              {"x_at_limit", format::estimateJson(estimate)},
              {"x_at_limit_by_trend", at ? number(at->x) : Json(nullptr)},
              {"x_at_limit_low", at ? number(at->low) : Json(nullptr)},
              {"x_at_limit_high", at ? number(at->high) : Json(nullptr)},
              {"x_for_one_more_run", at ? number(at->one_run) : Json(nullptr)},
              {"extrapolated", at ? Json(at->outside) : Json(nullptr)},
              {"censored", std::move(censored)},
              {"no_trend", textOrNull(comparison.no_trend)},
              {"no_limit", textOrNull(comparison.no_limit)}};
    if (!comparison.trend) {
        return json;
    }
    const compare::Trend& trend = *comparison.trend;
    json["form"] = compare::nameOf(trend.form);
    json["by_aicc"] = trend.by_aicc;
    json["a"] = number(trend.a);
    json["b"] = number(trend.b);
    json["half_x"] = number(trend.half_x);
    json["half_x_low"] = number(trend.half_x_low);
    json["half_x_high"] = number(trend.half_x_high);
    json["between_runs_u"] = trend.degrees > 0.0 ? number(trend.between_u) : Json(nullptr);
    json["own_u"] = number(trend.typical_u);
    json["measured"] = trend.measured;
    json["degrees_of_freedom"] = trend.degrees;
    Json tried = Json::array();
    for (const compare::TrendScore& score : trend.tried) {
        tried.push_back(Json{{"form", compare::nameOf(score.form)},
                             {"aicc", number(score.aicc)},
                             {"log_likelihood", number(score.log_likelihood)},
                             {"between_runs_u", number(score.between_u)}});
    }
    json["tried"] = std::move(tried);
    Json misfits = Json::array();
    std::size_t counted = 0;
    for (const session::ScatterPoint& point : comparison.scatter) {
        if (point.counts()) {
            misfits.push_back(Json{{"run", comparison.names[point.run]}, {"misfit", number(trend.misfits[counted++])}});
        }
    }
    json["misfits"] = std::move(misfits);
    json["bands"] = bandsJson(comparison.bands);
    return json;
}

} // namespace

Json compareJson(const session::Comparison& comparison, std::span<const compare::ComparedRun> runs) {
    Json table = Json::array();
    for (std::size_t i = 0; i < runs.size(); ++i) {
        table.push_back(row(comparison, runs[i], i));
    }
    Json columns = Json::array();
    for (const compare::Figure& figure : compare::figures()) {
        columns.push_back(axis(figure));
    }
    Json next = nullptr;
    if (comparison.next) {
        next = Json{{"rate_g_per_min", number(comparison.next->rate)},
                    {"reason", nameOf(comparison.next->reason)},
                    {"expected", format::estimateJson(comparison.next->expected)},
                    {"sentence", format::nextText(*comparison.next, *comparison.request.limit,
                                                  {.x = comparison.x, .y = comparison.y})}};
    }
    return Json{{"format", 1},
                {"x", axis(*comparison.x)},
                {"y", axis(*comparison.y)},
                {"align", compare::nameOf(comparison.request.align)},
                {"columns", std::move(columns)},
                {"table", std::move(table)},
                {"trend", trendJson(comparison)},
                {"next", std::move(next)},
                {"warnings", comparison.warnings}};
}

} // namespace potwatch::cli
