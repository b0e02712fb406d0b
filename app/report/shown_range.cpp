// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_content.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <vector>

namespace potwatch::report {
namespace {

// The times of every landmark and of the plateau, ascending.
std::vector<double> landmarkTimes(const Analysis& analysis) {
    std::vector<double> moments;
    const auto add = [&](const auto& landmark) {
        if (landmark && std::isfinite(landmark->time_s.value)) {
            moments.push_back(landmark->time_s.value);
        }
    };
    const Landmarks& marks = analysis.findings.landmarks;
    add(marks.first_deviation);
    add(marks.onset);
    add(marks.steepest);
    add(marks.peak);
    add(marks.end);
    for (const Exotherm& exotherm : analysis.findings.exotherms) {
        add(exotherm.onset);
        add(exotherm.peak);
        add(exotherm.end);
    }
    if (marks.boil_plateau) {
        moments.push_back(marks.boil_plateau->start_s);
        moments.push_back(marks.boil_plateau->end_s);
    }
    std::sort(moments.begin(), moments.end());
    return moments;
}

// First time from which on the temperature stays within a part of its fall from the highest later value to the last
// one.
double cooledAt(std::span<const double> time_s, std::span<const double> temperature_c, double from_s) {
    constexpr double cooled_part = 0.12; // of the fall; by then the curve has told what it has to tell
    double top = -std::numeric_limits<double>::infinity();
    double last = std::numeric_limits<double>::quiet_NaN();
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (time_s[i] >= from_s && std::isfinite(temperature_c[i])) {
            top = std::max(top, temperature_c[i]);
            last = temperature_c[i];
        }
    }
    if (!std::isfinite(last)) {
        return time_s.back();
    }
    const double level = last + cooled_part * (top - last);
    for (std::size_t i = time_s.size(); i-- > 0 && time_s[i] >= from_s;) {
        if (std::isfinite(temperature_c[i]) && temperature_c[i] > level) {
            return time_s[i];
        }
    }
    return from_s;
}

} // namespace

Range shownRange(const Analysis& analysis) {
    constexpr double worth_cutting = 2.0 / 3.0; // the shown part of the trace below which the rest is left out
    constexpr double air = 0.08;                // of the shown part, before the first moment
    const Series& series = analysis.series;
    if (series.time_s.empty()) {
        return {.low = 0.0, .high = 1.0};
    }
    const Range whole{.low = series.time_s.front(), .high = series.time_s.back()};
    if (!(whole.low < whole.high)) {
        return {.low = whole.low - 0.5, .high = whole.low + 0.5};
    }
    const std::vector<double> landmarks = landmarkTimes(analysis);
    const std::vector<double>& temperature = series.temperature_c.empty() ? series.reading_c : series.temperature_c;
    if (landmarks.empty() || !analysis.findings.landmarks.peak || temperature.empty()) {
        return whole;
    }
    double first = std::clamp(landmarks.front(), whole.low, whole.high);
    double last = std::clamp(landmarks.back(), whole.low, whole.high);
    // The exotherm keeps at least a sixth of the width, whatever the cooling takes.
    constexpr double longest_tail = 5.0;
    const double cooled = std::min(cooledAt(series.time_s, temperature, last), last + longest_tail * (last - first));
    for (const Event& event : analysis.events) {
        if (std::isfinite(event.time_s)) {
            first = std::clamp(event.time_s, whole.low, first);
            last = std::clamp(event.time_s, last, whole.high);
        }
    }
    for (const Annotation& annotation : analysis.annotations) {
        first = std::clamp(annotation.time_s, whole.low, first);
        last = std::clamp(annotation.time_s, last, whole.high);
        if (annotation.kind != AnnotationKind::text) {
            first = std::clamp(annotation.to_time_s, whole.low, first);
            last = std::clamp(annotation.to_time_s, last, whole.high);
        }
    }
    Range shown = whole;
    const double wanted_end = std::max(cooled, last + air * (last - first));
    if (wanted_end - whole.low < worth_cutting * whole.width()) {
        shown.high = wanted_end;
    }
    const double wanted_start = first - air * (shown.high - first);
    if (shown.high - wanted_start < worth_cutting * (shown.high - whole.low)) {
        shown.low = wanted_start;
    }
    if (!(shown.low < shown.high)) {
        return whole;
    }
    return shown;
}

} // namespace potwatch::report
