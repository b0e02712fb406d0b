// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_content.h"

#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/findings_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::report {
namespace {

using format::Quantity;

constexpr double joules_in_a_kilojoule = 1000.0;
constexpr std::size_t longest_event_text = 44;
constexpr std::size_t longest_annotation = 120;
constexpr std::size_t longest_name = 200; // what is still too wide is cut where it is laid out

bool isKnown(const std::vector<double>& values) {
    return std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

PaneBand bandAbout(const std::vector<double>& centre, const std::vector<double>& u, double factor, TraceStyle of) {
    return {.of = of,
            .limits = {.low_of = centre, .high_of = centre, .spread = u, .times = coverage_factor_95},
            .factor = factor,
            .on_right_axis = false,
            .pyramid = {}};
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

std::optional<Pane> temperaturePane(const Analysis& analysis) {
    const Series& series = analysis.series;
    const bool corrected = isKnown(series.temperature_c);
    const bool read = isKnown(series.reading_c);
    if (!corrected && !read) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::temperature, .title = "temperature, \u00b0C"};
    if (read && (!corrected || differ(series.reading_c, series.temperature_c))) {
        pane.traces.push_back({.style = corrected ? TraceStyle::reading : TraceStyle::temperature,
                               .label = "as read by the probe",
                               .value = series.reading_c});
    }
    if (corrected) {
        pane.traces.push_back(
            {.style = TraceStyle::temperature, .label = "resin, corrected for lag", .value = series.temperature_c});
        if (isKnown(series.temperature_u_k)) {
            pane.bands.push_back(bandAbout(series.temperature_c, series.temperature_u_k, 1.0, TraceStyle::temperature));
        }
    }
    pane.rule = {.holds = {}, .below = 0.10, .above = 0.12, .least_width = 2.0};
    return pane;
}

std::optional<Pane> ratePane(const Analysis& analysis) {
    const Series& series = analysis.series;
    if (!isKnown(series.rate_k_per_min)) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::rate, .title = "rate, K/min"};
    pane.rule = {.holds = {0.0}, .below = 0.08, .above = 0.10, .least_width = 0.5};
    pane.traces.push_back({.style = TraceStyle::rate, .label = "rate of the resin", .value = series.rate_k_per_min});
    if (const auto& steepest = analysis.findings.landmarks.steepest) {
        pane.notes.push_back("steepest " + format::estimateText(steepest->rate_k_per_min, Quantity::rate));
    }
    return pane;
}

std::optional<Pane> heatPane(const Analysis& analysis) {
    const Series& series = analysis.series;
    const bool flow = isKnown(series.power_w);
    const bool heat = isKnown(series.heat_j);
    if (!flow && !heat) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::heat_flow, .title = flow ? "heat flow, W" : "heat, kJ"};
    if (flow) {
        pane.rule = {.holds = {0.0}, .below = 0.08, .above = 0.10, .least_width = 1.0};
        pane.traces.push_back(
            {.style = TraceStyle::heat_flow, .label = "heat flow of the cure", .value = series.power_w});
    }
    if (heat) {
        if (isKnown(series.heat_u_j)) {
            pane.bands.push_back(
                bandAbout(series.heat_j, series.heat_u_j, 1.0 / joules_in_a_kilojoule, TraceStyle::heat));
            pane.bands.back().on_right_axis = flow;
        }
        pane.traces.push_back({.style = TraceStyle::heat,
                               .label = flow ? "heat released, kJ" : "heat released",
                               .value = series.heat_j,
                               .factor = 1.0 / joules_in_a_kilojoule,
                               .on_right_axis = flow});
        const RangeRule rule{.holds = {0.0}, .below = 0.08, .above = 0.10, .least_width = 0.01};
        if (flow) {
            pane.right_range = Range{};
            pane.right_title = "heat, kJ";
        }
        (flow ? pane.right_rule : pane.rule) = rule;
    }
    pane.notes = heatNotes(analysis.findings.heat);
    return pane;
}

std::optional<Pane> degreePane(const Analysis& analysis) {
    const Series& series = analysis.series;
    if (!isKnown(series.degree)) {
        return std::nullopt;
    }
    Pane pane{.kind = PaneKind::degree, .title = "degree of cure"};
    if (isKnown(series.degree_low) && isKnown(series.degree_high)) {
        pane.bands.push_back({.of = TraceStyle::degree,
                              .limits = {.low_of = series.degree_low, .high_of = series.degree_high},
                              .factor = 1.0,
                              .on_right_axis = false,
                              .pyramid = {}});
    }
    pane.rule = {.holds = {0.0, 1.0}, .below = 0.05, .above = 0.08, .least_width = 1.0};
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

// As a person wrote them, in words fit to be drawn.
std::vector<Annotation> drawable(std::vector<Annotation> annotations) {
    for (Annotation& annotation : annotations) {
        annotation.text = format::shortened(format::oneLine(annotation.text), longest_annotation);
    }
    return annotations;
}

} // namespace

PlotContent plotContent(const Analysis& analysis, bool with_pyramids, const std::stop_token& stop) {
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
    content.pins = pins(findings);
    content.spans = spans(analysis);
    content.events = eventMarks(analysis);
    for (EventMark& event : content.events) { // one that lies outside the trace is marked at its edge
        event.time_s = std::clamp(event.time_s, content.shown_s.low, content.shown_s.high);
    }
    if (const auto& plateau = findings.landmarks.boil_plateau) {
        content.boil_plateau = {.from_s = plateau->start_s, .to_s = plateau->end_s, .text = plateauText(*plateau)};
        const auto byHand = [&](LandmarkKind kind) {
            return std::find(findings.by_hand.begin(), findings.by_hand.end(), kind) != findings.by_hand.end();
        };
        content.boil_plateau->start_by_hand = byHand(LandmarkKind::boilStart);
        content.boil_plateau->end_by_hand = byHand(LandmarkKind::boilEnd);
    }
    content.annotations = drawable(analysis.annotations);
    for (auto&& pane : {temperaturePane(analysis), ratePane(analysis), heatPane(analysis), degreePane(analysis)}) {
        if (pane) {
            content.panes.push_back(*pane);
        }
    }
    if (with_pyramids) {
        addPyramids(content, stop);
    }
    const PlotView view = stop.stop_requested() ? fittedView(content) : viewOf(content, content.shown_s);
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        content.panes[i].range = view.panes[i].range;
        content.panes[i].right_range = view.panes[i].right_range;
    }
    const bool bands =
        std::any_of(content.panes.begin(), content.panes.end(), [](const Pane& pane) { return !pane.bands.empty(); });
    if (bands || !content.pins.empty()) {
        content.note = "\u00b1 and bands: 95 % intervals \u00b7 " + content.note;
    }
    return content;
}

} // namespace potwatch::report
