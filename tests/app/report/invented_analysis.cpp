// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/report/invented_analysis.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <optional>

namespace potwatch::report {
namespace {

constexpr double surroundings_c = 22.0;
constexpr double heat_capacity_j_per_k = 190.0;
constexpr double heat_j = 21600.0;
constexpr double lag_s = 4.0;

double logistic(double x) {
    return 1.0 / (1.0 + std::exp(-x));
}

Landmark at(const Series& series, std::size_t i) {
    return {.time_s = normalEstimate(series.time_s[i], 1.2),
            .temperature_c = normalEstimate(series.temperature_c[i], 0.15)};
}

std::size_t indexOf(const InventedPot& pot, double time_s) {
    return static_cast<std::size_t>(std::clamp(time_s, 0.0, pot.length_s) / pot.interval_s);
}

Series seriesOf(const InventedPot& pot) {
    Series series;
    double temperature_c = surroundings_c;
    double reading_c = surroundings_c;
    const auto count = static_cast<std::size_t>(pot.length_s / pot.interval_s) + 1;
    const double share = 1.0 / static_cast<double>(pot.middles_s.size());
    for (std::size_t i = 0; i < count; ++i) {
        const double time_s = static_cast<double>(i) * pot.interval_s;
        double degree = 0.0;
        double degree_rate = 0.0;
        for (std::size_t k = 0; k < pot.middles_s.size(); ++k) {
            const double part = k == 0 ? 0.6 + 0.4 * share : 0.4 * share;
            const double y = logistic((time_s - pot.middles_s[k]) / pot.width_s);
            degree += 0.985 * part * y;
            degree_rate += 0.985 * part * y * (1.0 - y) / pot.width_s;
        }
        const double power_w = heat_j * degree_rate;
        double rate_k_per_s = (power_w - pot.loss_w_per_k * (temperature_c - surroundings_c)) / heat_capacity_j_per_k;
        if (temperature_c >= pot.boiling_c && rate_k_per_s > 0.0) {
            rate_k_per_s = 0.02 * rate_k_per_s;
        }
        const double u_k = 0.12 + 2.0 * std::abs(rate_k_per_s);
        series.time_s.push_back(time_s);
        series.temperature_c.push_back(temperature_c);
        series.temperature_u_k.push_back(u_k);
        series.reading_c.push_back(std::round(reading_c * 4.0) / 4.0); // a reader with steps of a quarter degree
        series.rate_k_per_min.push_back(60.0 * rate_k_per_s);
        series.power_w.push_back(power_w);
        series.heat_j.push_back(heat_j * degree);
        series.heat_u_j.push_back(20.0 + 0.012 * heat_j * degree);
        series.degree.push_back(degree);
        series.degree_low.push_back(std::max(0.0, degree - 0.04 * degree - 0.004));
        series.degree_high.push_back(std::min(1.0, degree + 0.05 * degree + 0.004));
        temperature_c += pot.interval_s * rate_k_per_s;
        reading_c += pot.interval_s * (temperature_c - reading_c) / lag_s;
    }
    return series;
}

std::size_t highestNear(const Series& series, const InventedPot& pot, double middle_s) {
    const std::size_t first = indexOf(pot, middle_s - 3.0 * pot.width_s);
    const std::size_t last = indexOf(pot, middle_s + 6.0 * pot.width_s);
    const auto begin = series.temperature_c.begin();
    return static_cast<std::size_t>(
        std::max_element(begin + static_cast<std::ptrdiff_t>(first), begin + static_cast<std::ptrdiff_t>(last)) -
        begin);
}

std::optional<BoilPlateau> plateauOf(const Series& series, const InventedPot& pot) {
    std::optional<BoilPlateau> plateau;
    for (std::size_t i = 0; i < series.time_s.size(); ++i) {
        if (series.temperature_c[i] >= pot.boiling_c) {
            plateau = {.start_s = plateau ? plateau->start_s : series.time_s[i],
                       .end_s = series.time_s[i],
                       .temperature_c = pot.boiling_c};
        }
    }
    return plateau;
}

} // namespace

Analysis inventedAnalysis(const InventedPot& pot) {
    Analysis made;
    made.series = seriesOf(pot);
    const Series& series = made.series;
    Findings& findings = made.findings;
    findings.run = pot.name;
    findings.file = fmt::format("runs/{}.csv", pot.name);
    findings.channel = "pot_c";
    findings.samples = {
        .kept = series.time_s.size(), .refused = 2, .span_s = pot.length_s, .median_interval_s = pot.interval_s};
    for (const double middle_s : pot.middles_s) {
        findings.exotherms.push_back({.onset = at(series, indexOf(pot, middle_s - 2.2 * pot.width_s)),
                                      .peak = at(series, highestNear(series, pot, middle_s)),
                                      .end = at(series, indexOf(pot, middle_s + 7.0 * pot.width_s))});
    }
    const Exotherm largest = findings.exotherms.front();
    std::sort(findings.exotherms.begin(), findings.exotherms.end(),
              [](const Exotherm& a, const Exotherm& b) { return a.onset->time_s.value < b.onset->time_s.value; });
    const double middle_s = pot.middles_s.front();
    Landmarks& marks = findings.landmarks;
    marks.onset = largest.onset;
    marks.first_deviation = at(series, indexOf(pot, middle_s - 4.0 * pot.width_s));
    const std::size_t steepest = indexOf(pot, middle_s - 0.4 * pot.width_s);
    marks.steepest = Steepest{.time_s = at(series, steepest).time_s,
                              .temperature_c = at(series, steepest).temperature_c,
                              .rate_k_per_min = normalEstimate(series.rate_k_per_min[steepest], 0.4)};
    marks.peak = Peak{.time_s = largest.peak->time_s,
                      .temperature_c = largest.peak->temperature_c,
                      .reading_c = *std::max_element(series.reading_c.begin(), series.reading_c.end())};
    marks.end = largest.end;
    marks.boil_plateau = plateauOf(series, pot);
    findings.heat = {.released_j = normalEstimate(series.heat_j.back(), 190.0),
                     .per_gram_j = normalEstimate(series.heat_j.back() / 80.0, 2.4),
                     .heat_capacity_j_per_k = normalEstimate(heat_capacity_j_per_k, 3.0),
                     .loss_coefficient_w_per_k = normalEstimate(pot.loss_w_per_k, 0.015),
                     .loss_exponent = std::nullopt,
                     .loss_from = "cooling tail 1600-3600 s",
                     .evaporated_g = std::nullopt,
                     .adiabatic_rise_k = normalEstimate(113.7, 1.6),
                     .lower_bound = false};
    findings.cure.final_degree = Estimate{.value = 0.985, .u = 0.022, .low = 0.94, .high = 1.0};
    findings.cure.reference_j_per_g = 270.0;
    findings.cure.reference_from = "batch file";
    findings.cure.stage = "C";
    findings.cure.at = {{.time_s = 600.0, .degree = normalEstimate(0.31, 0.008)},
                        {.time_s = 9999.0, .degree = std::nullopt}};
    findings.inputs = {
        {.name = "specific heat", .unit = "J/(g K)", .value = 2.0, .u = 0.06, .from = "batch file"},
        {.name = "probe lag", .unit = "s", .value = lag_s, .u = 0.7, .from = "default"},
        {.name = "surroundings", .unit = "\u00b0C", .value = surroundings_c, .u = std::nullopt, .from = "measured"}};
    findings.warnings = {
        "the vessel's heat capacity was not stated: 25 J/K was taken; weigh the vessel and write it down"};
    made.events = {{.time_s = 120.0, .kind = "dose start", .text = ""},
                   {.time_s = 480.0, .kind = "dose end", .text = ""},
                   {.time_s = middle_s + 2.0 * pot.width_s, .kind = "note", .text = "turned milky"}};
    return made;
}

Analysis shortAnalysis() {
    return inventedAnalysis({.length_s = 1800.0, .interval_s = 2.0, .middles_s = {700.0}});
}

Analysis traceAlone(const Analysis& analysis) {
    Analysis bare;
    bare.findings.run = analysis.findings.run;
    bare.findings.file = analysis.findings.file;
    bare.findings.samples = analysis.findings.samples;
    bare.findings.warnings = {"no exotherm was found: the temperature never leaves its noise"};
    bare.series.time_s = analysis.series.time_s;
    bare.series.reading_c = analysis.series.reading_c;
    return bare;
}

std::vector<session::ReportRun> reportRuns(const std::vector<Analysis>& analyses) {
    std::vector<session::ReportRun> runs;
    for (const Analysis& analysis : analyses) {
        runs.push_back({.analysis = std::make_shared<const Analysis>(analysis), .batch = {}, .photos = {}});
    }
    return runs;
}

} // namespace potwatch::report
