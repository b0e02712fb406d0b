// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/forecast_output.h"

#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/format/number.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <cstddef>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;
using forecast::MouldAnswer;
using forecast::MouldPoint;

// Rows of the series in JSON, evenly over the course.
constexpr std::size_t rows_of_series = 240;

std::size_t middleOf(const MouldAnswer& answer) {
    return answer.mould.other_side ? answer.forecast.course.position_mm.size() / 2 : 0;
}

Json pointJson(const MouldPoint& point) {
    return {{"peak_temperature_c", point.peak_temperature_c},
            {"peak_time_s", point.peak_time_s},
            {"degree_final", point.degree_final}};
}

Json seriesJson(const MouldAnswer& answer) {
    const forecast::MouldCourse& course = answer.forecast.course;
    const std::size_t step = std::max<std::size_t>(1, (course.time_s.size() - 1) / rows_of_series);
    const std::size_t middle = middleOf(answer);
    Json series{{"time_s", Json::array()},
                {"core_c", Json::array()},
                {"skin_c", Json::array()},
                {"core_degree", Json::array()},
                {"skin_degree", Json::array()}};
    for (std::size_t k = 0; k < course.time_s.size(); k += step) {
        series["time_s"].push_back(course.time_s[k]);
        series["core_c"].push_back(course.temperature_c[k][middle]);
        series["skin_c"].push_back(course.temperature_c[k].back());
        series["core_degree"].push_back(course.degree[k][middle]);
        series["skin_degree"].push_back(course.degree[k].back());
    }
    return series;
}

std::vector<std::string> pointRow(const std::string& name, const MouldPoint& point) {
    return {name, fmt::format("{:.1f} °C", point.peak_temperature_c),
            format::durationText(std::round(point.peak_time_s)), fmt::format("{:.3f}", point.degree_final)};
}

} // namespace

std::string mouldText(const MouldAnswer& answer) {
    const forecast::MouldForecast& forecast = answer.forecast;
    std::vector<std::vector<std::string>> rows{{"place", "peak", "at", "degree of cure at the end"},
                                               pointRow("core", forecast.core),
                                               pointRow("skin", forecast.skin)};
    if (forecast.other_skin) {
        rows.push_back(pointRow("skin, other side", *forecast.other_skin));
    }
    std::string text = fmt::format(
        "Forecast of a mould, {}\n\n{}\n",
        answer.programme.empty() ? "in the oven as it was recorded" : "programme " + answer.programme, tableText(rows));
    const auto line = [&](std::string_view title, const std::string& value) {
        text += fmt::format("  {:<22}{}\n", title, value);
    };
    line("hottest place", fmt::format("{:.1f} °C, {:.1f} mm from the {}", forecast.hottest.peak_temperature_c,
                                      std::abs(forecast.hottest_position_mm),
                                      answer.mould.shape == MouldShape::slab ? "middle" : "centre"));
    line("core over skin", fmt::format("{:.1f} K at most", forecast.largest_difference_k));
    line(fmt::format("degree {:.2f}", answer.target_degree),
         answer.target_s ? "everywhere after " + format::durationText(std::round(*answer.target_s))
                         : "not everywhere by the end");
    line("foam", answer.foam.foams ? "yes, water boils: see below" : "no, the water stays");
    line("holding pressure",
         fmt::format("{:.0f} kPa (absolute) or more at the hottest moment", answer.foam.holding_pressure_kpa));
    if (!answer.warnings.empty()) {
        text += "\n  Warnings:\n";
        for (const std::string& warning : answer.warnings) {
            text += "  - " + wrapped(warning, 4, 76) + '\n';
        }
    }
    return text;
}

Json mouldJson(const MouldAnswer& answer) {
    const forecast::MouldForecast& forecast = answer.forecast;
    Json json{{"format", 1}, {"core", pointJson(forecast.core)}, {"skin", pointJson(forecast.skin)}};
    json["other_skin"] = forecast.other_skin ? pointJson(*forecast.other_skin) : Json(nullptr);
    json["hottest"] = pointJson(forecast.hottest);
    json["hottest"]["position_mm"] = forecast.hottest_position_mm;
    json["least_degree_final"] = forecast.least_degree;
    json["largest_core_over_skin_k"] = forecast.largest_difference_k;
    json["target_degree"] = answer.target_degree;
    json["target_time_s"] = answer.target_s ? Json(*answer.target_s) : Json(nullptr);
    json["foam"] = answer.foam.foams;
    json["foam_from_s"] = answer.foam.first_s ? Json(*answer.foam.first_s) : Json(nullptr);
    json["holding_pressure_kpa"] = answer.foam.holding_pressure_kpa;
    json["programme"] = answer.programme.empty() ? Json(nullptr) : Json(answer.programme);
    json["grid"] = {{"cells", forecast.cells}, {"change_k", forecast.grid_change_k}};
    json["series"] = seriesJson(answer);
    json["warnings"] = answer.warnings;
    return json;
}

std::string mouldSeriesCsv(const MouldAnswer& answer) {
    const forecast::MouldCourse& course = answer.forecast.course;
    const std::size_t middle = middleOf(answer);
    std::string text = "time_s,core_c,skin_c,core_degree,skin_degree\n";
    for (std::size_t k = 0; k < course.time_s.size(); ++k) {
        text += fmt::format("{},{},{},{},{}\n", course.time_s[k], course.temperature_c[k][middle],
                            course.temperature_c[k].back(), course.degree[k][middle], course.degree[k].back());
    }
    return text;
}

} // namespace potwatch::cli
