// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_content.h"

#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/findings_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::report {
namespace {

using format::Quantity;

constexpr double joules_in_a_kilojoule = 1000.0;
constexpr std::size_t longest_event_text = 44;
constexpr std::size_t longest_name = 200; // what is still too wide is cut where it is laid out

bool isKnown(const std::vector<double>& values) {
    return std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

// Grows a range over the values of the shown stretch.
class Extent {
public:
    explicit Extent(std::span<const double> time_s, Range shown_s)
        : time_s_(time_s)
        , shown_s_(shown_s) {}

    void take(std::span<const double> values, double factor = 1.0) {
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (time_s_[i] >= shown_s_.low && time_s_[i] <= shown_s_.high && std::isfinite(values[i])) {
                take(values[i] * factor);
            }
        }
    }
    void take(double value) {
        low_ = any_ ? std::min(low_, value) : value;
        high_ = any_ ? std::max(high_, value) : value;
        any_ = true;
    }
    // With air at both ends as a part of the width; at least that wide.
    [[nodiscard]] Range padded(double below, double above, double least_width) const {
        Range range{.low = low_, .high = high_};
        if (range.width() < least_width) {
            const double middle = 0.5 * (low_ + high_);
            range = {.low = middle - 0.5 * least_width, .high = middle + 0.5 * least_width};
        }
        return {.low = range.low - below * range.width(), .high = range.high + above * range.width()};
    }

private:
    std::span<const double> time_s_;
    Range shown_s_;
    double low_ = 0.0;
    double high_ = 0.0;
    bool any_ = false;
};

PaneBand bandAbout(const std::vector<double>& centre, const std::vector<double>& u, double factor, TraceStyle of) {
    PaneBand band{.of = of, .low = {}, .high = {}, .on_right_axis = false};
    band.low.reserve(centre.size());
    band.high.reserve(centre.size());
    for (std::size_t i = 0; i < centre.size(); ++i) {
        band.low.push_back((centre[i] - coverage_factor_95 * u[i]) * factor);
        band.high.push_back((centre[i] + coverage_factor_95 * u[i]) * factor);
    }
    return band;
}

// Whether the probe's reading is worth a line of its own behind the corrected temperature.
bool differ(const std::vector<double>& reading_c, const std::vector<double>& temperature_c) {
    constexpr double visible_k = 0.05;
    for (std::size_t i = 0; i < reading_c.size() && i < temperature_c.size(); ++i) {
        if (std::abs(reading_c[i] - temperature_c[i]) > visible_k) {
            return true;
        }
    }
    return false;
}

std::optional<Pane> temperaturePane(const Analysis& analysis, Range shown_s, const std::vector<Pin>& pins) {
    const Series& series = analysis.series;
    const bool corrected = isKnown(series.temperature_c);
    const bool read = isKnown(series.reading_c);
    if (!corrected && !read) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::temperature, .title = "temperature, \u00b0C"};
    Extent extent(series.time_s, shown_s);
    if (read && (!corrected || differ(series.reading_c, series.temperature_c))) {
        pane.traces.push_back({.style = corrected ? TraceStyle::reading : TraceStyle::temperature,
                               .label = "as read by the probe",
                               .value = series.reading_c});
        extent.take(series.reading_c);
    }
    if (corrected) {
        pane.traces.push_back(
            {.style = TraceStyle::temperature, .label = "resin, corrected for lag", .value = series.temperature_c});
        extent.take(series.temperature_c);
        if (isKnown(series.temperature_u_k)) {
            pane.bands.push_back(bandAbout(series.temperature_c, series.temperature_u_k, 1.0, TraceStyle::temperature));
            extent.take(pane.bands.back().low);
            extent.take(pane.bands.back().high);
        }
    }
    for (const Pin& pin : pins) {
        extent.take(pin.temperature_c);
    }
    pane.range = extent.padded(0.10, 0.12, 2.0);
    return pane;
}

std::optional<Pane> ratePane(const Analysis& analysis, Range shown_s) {
    const Series& series = analysis.series;
    if (!isKnown(series.rate_k_per_min)) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::rate, .title = "rate, K/min"};
    Extent extent(series.time_s, shown_s);
    extent.take(0.0);
    extent.take(series.rate_k_per_min);
    pane.range = extent.padded(0.08, 0.10, 0.5);
    pane.traces.push_back({.style = TraceStyle::rate, .label = "rate of the resin", .value = series.rate_k_per_min});
    if (const auto& steepest = analysis.findings.landmarks.steepest) {
        pane.notes.push_back("steepest " + format::estimateText(steepest->rate_k_per_min, Quantity::rate));
    }
    return pane;
}

std::optional<Pane> heatPane(const Analysis& analysis, Range shown_s) {
    const Series& series = analysis.series;
    const bool flow = isKnown(series.power_w);
    const bool heat = isKnown(series.heat_j);
    if (!flow && !heat) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::heat_flow, .title = flow ? "heat flow, W" : "heat, kJ"};
    if (flow) {
        Extent extent(series.time_s, shown_s);
        extent.take(0.0);
        extent.take(series.power_w);
        pane.range = extent.padded(0.08, 0.10, 1.0);
        pane.traces.push_back(
            {.style = TraceStyle::heat_flow, .label = "heat flow of the cure", .value = series.power_w});
    }
    if (heat) {
        Extent extent(series.time_s, shown_s);
        extent.take(0.0);
        extent.take(series.heat_j, 1.0 / joules_in_a_kilojoule);
        if (isKnown(series.heat_u_j)) {
            pane.bands.push_back(
                bandAbout(series.heat_j, series.heat_u_j, 1.0 / joules_in_a_kilojoule, TraceStyle::heat));
            pane.bands.back().on_right_axis = flow;
            extent.take(pane.bands.back().low);
            extent.take(pane.bands.back().high);
        }
        const Range range = extent.padded(0.08, 0.10, 0.01);
        pane.traces.push_back({.style = TraceStyle::heat,
                               .label = flow ? "heat released, kJ" : "heat released",
                               .value = series.heat_j,
                               .factor = 1.0 / joules_in_a_kilojoule,
                               .on_right_axis = flow});
        if (flow) {
            pane.right_range = range;
            pane.right_title = "heat, kJ";
        } else {
            pane.range = range;
        }
    }
    pane.notes = heatNotes(analysis.findings.heat);
    return pane;
}

std::optional<Pane> degreePane(const Analysis& analysis, Range shown_s) {
    const Series& series = analysis.series;
    if (!isKnown(series.degree)) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::degree, .title = "degree of cure"};
    Extent extent(series.time_s, shown_s);
    extent.take(0.0);
    extent.take(1.0);
    extent.take(series.degree);
    if (isKnown(series.degree_low) && isKnown(series.degree_high)) {
        pane.bands.push_back(
            {.of = TraceStyle::degree, .low = series.degree_low, .high = series.degree_high, .on_right_axis = false});
        extent.take(series.degree_low);
        extent.take(series.degree_high);
    }
    pane.range = extent.padded(0.05, 0.08, 1.0);
    pane.traces.push_back({.style = TraceStyle::degree, .label = "degree of cure", .value = series.degree});
    pane.notes = cureNotes(analysis.findings.cure);
    return pane;
}

std::vector<EventMark> eventMarks(const Analysis& analysis) {
    std::vector<EventMark> marks;
    for (const Event& event : analysis.events) {
        if (std::isfinite(event.time_s)) {
            marks.push_back({.time_s = event.time_s, .text = format::shortened(eventText(event), longest_event_text)});
        }
    }
    std::stable_sort(marks.begin(), marks.end(),
                     [](const EventMark& a, const EventMark& b) { return a.time_s < b.time_s; });
    return marks;
}

} // namespace

PlotContent plotContent(const Analysis& analysis) {
    const Findings& findings = analysis.findings;
    const Series& series = analysis.series;
    PlotContent content;
    const std::string name = format::oneLine(findings.run);
    const std::string file = format::oneLine(format::fileNameOf(findings.file));
    content.title = format::shortened(name.empty() ? file : name, longest_name);
    content.foot = sourceLine(findings);
    content.note = fmt::format("Potwatch {}, analysis {}", programVersion(), findings.version);
    content.time_s = series.time_s;
    content.shown_s = shownRange(analysis);
    if (!series.time_s.empty() && series.time_s.front() < content.shown_s.low) {
        content.before = "trace starts at " + format::durationText(series.time_s.front());
    }
    if (!series.time_s.empty() && series.time_s.back() > content.shown_s.high) {
        content.after = "trace continues to " + format::durationText(series.time_s.back());
    }
    content.pins = pins(findings);
    content.spans = spans(analysis);
    content.events = eventMarks(analysis);
    for (EventMark& event : content.events) { // one that lies outside the trace is marked at its edge
        event.time_s = std::clamp(event.time_s, content.shown_s.low, content.shown_s.high);
    }
    if (const auto& plateau = findings.landmarks.boil_plateau) {
        content.boil_plateau = {.from_s = plateau->start_s, .to_s = plateau->end_s, .text = plateauText(*plateau)};
    }
    for (auto&& pane : {temperaturePane(analysis, content.shown_s, content.pins), ratePane(analysis, content.shown_s),
                        heatPane(analysis, content.shown_s), degreePane(analysis, content.shown_s)}) {
        if (pane) {
            content.panes.push_back(*pane);
        }
    }
    const bool bands =
        std::any_of(content.panes.begin(), content.panes.end(), [](const Pane& pane) { return !pane.bands.empty(); });
    if (bands || !content.pins.empty()) {
        content.note = "\u00b1 and bands: 95 % intervals \u00b7 " + content.note;
    }
    return content;
}

} // namespace potwatch::report
