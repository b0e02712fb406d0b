// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/findings_text.h"

#include "app/format/finding_rows.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::report {
namespace {

using format::Quantity;

constexpr double clock_time_from_s = 600.0; // below, seconds alone read well
constexpr std::size_t longest_part = 60;

Pin pin(std::string name, const Estimate& time_s, const Estimate& temperature_c) {
    const std::string time = format::estimateText(time_s, Quantity::time);
    const std::string temperature = format::estimateText(temperature_c, Quantity::temperature);
    Pin made{.time_s = time_s.value, .temperature_c = temperature_c.value, .name = name};
    made.line = fmt::format("{}: {}, {}", name, format::valueText(time_s.value, Quantity::time), temperature);
    made.lines.push_back(
        time_s.value < clock_time_from_s ? name : fmt::format("{} at {}", name, format::durationText(time_s.value)));
    made.lines.push_back(fmt::format("{}, {}", time, temperature));
    return made;
}

bool isDrawable(const Pin& pin) {
    return std::isfinite(pin.time_s) && std::isfinite(pin.temperature_c);
}

void addSpan(std::vector<Span>& spans, std::string_view name, const std::optional<Landmark>& from,
             const std::optional<Landmark>& to) {
    if (!from || !to || !(from->time_s.value < to->time_s.value)) {
        return;
    }
    const double length_s = to->time_s.value - from->time_s.value;
    const double rise_k = to->temperature_c.value - from->temperature_c.value;
    spans.push_back({.from_s = from->time_s.value,
                     .to_s = to->time_s.value,
                     .text = fmt::format("{} {}, {}", name, format::durationText(length_s), format::riseText(rise_k))});
}

std::optional<Landmark> asLandmark(const std::optional<Peak>& peak) {
    if (!peak) {
        return std::nullopt;
    }
    return Landmark{.time_s = peak->time_s, .temperature_c = peak->temperature_c};
}

std::optional<double> doseStart(const std::vector<Event>& events) {
    for (const Event& event : events) {
        if (event.kind == "dose start" && std::isfinite(event.time_s)) {
            return event.time_s;
        }
    }
    return std::nullopt;
}

} // namespace

std::string_view programVersion() {
    return POTWATCH_VERSION;
}

std::string sourceLine(const Findings& findings) {
    std::string line = format::shortened(format::oneLine(format::fileNameOf(findings.file)), longest_part);
    const auto add = [&](const std::string& part) { line += (line.empty() ? "" : " \u00b7 ") + part; };
    if (!findings.channel.empty()) {
        add("channel " + format::shortened(format::oneLine(findings.channel), longest_part));
    }
    add(fmt::format("{} over {}", format::countText(findings.samples.kept, "sample", "samples"),
                    format::durationText(findings.samples.span_s)));
    if (findings.samples.refused > 0) {
        add(format::countText(findings.samples.refused, "line refused", "lines refused"));
    }
    return line;
}

std::string eventText(const Event& event) {
    const std::string kind = format::oneLine(event.kind);
    const std::string text = format::oneLine(event.text);
    if (text.empty() || text == kind) {
        return kind.empty() ? "event" : kind;
    }
    return kind.empty() || kind == "note" ? text : kind + ": " + text;
}

std::string plateauText(const BoilPlateau& plateau) {
    return fmt::format("boil plateau {} at {}", format::durationText(plateau.end_s - plateau.start_s),
                       format::valueText(plateau.temperature_c, Quantity::temperature));
}

std::vector<Pin> pins(const Findings& findings) {
    const Landmarks& marks = findings.landmarks;
    const std::optional<std::size_t> largest = format::largestExotherm(findings);
    const bool several = findings.exotherms.size() > 1;
    const auto of = [&](std::size_t i) { return several ? fmt::format(" {}", i + 1) : std::string(); };
    const std::string main = largest ? of(*largest) : std::string();
    std::vector<Pin> made;
    if (marks.first_deviation) {
        made.push_back(pin("first deviation", marks.first_deviation->time_s, marks.first_deviation->temperature_c));
        made.back().kind = LandmarkKind::firstDeviation;
    }
    if (marks.onset) {
        made.push_back(pin("onset" + main, marks.onset->time_s, marks.onset->temperature_c));
        made.back().kind = LandmarkKind::onset;
    }
    if (marks.steepest) {
        made.push_back(pin("steepest", marks.steepest->time_s, marks.steepest->temperature_c));
        made.back().kind = LandmarkKind::steepest;
    }
    if (marks.peak) {
        Pin peak = pin("peak" + main, marks.peak->time_s, marks.peak->temperature_c);
        if (marks.peak->reading_c) {
            const std::string reading = format::valueText(*marks.peak->reading_c, Quantity::temperature);
            peak.lines.push_back("highest reading " + reading);
        }
        peak.kind = LandmarkKind::peak;
        made.push_back(std::move(peak));
    }
    if (marks.end) {
        made.push_back(pin("end" + main, marks.end->time_s, marks.end->temperature_c));
        made.back().kind = LandmarkKind::end;
    }
    for (const std::size_t i : format::namedExotherms(findings)) {
        if (i == largest) {
            continue;
        }
        const Exotherm& exotherm = findings.exotherms[i];
        if (exotherm.onset) {
            made.push_back(pin("onset" + of(i), exotherm.onset->time_s, exotherm.onset->temperature_c));
        }
        if (exotherm.peak) {
            made.push_back(pin("peak" + of(i), exotherm.peak->time_s, exotherm.peak->temperature_c));
        }
        if (exotherm.end) {
            made.push_back(pin("end" + of(i), exotherm.end->time_s, exotherm.end->temperature_c));
        }
    }
    for (Pin& one : made) {
        if (one.kind &&
            std::find(findings.by_hand.begin(), findings.by_hand.end(), *one.kind) != findings.by_hand.end()) {
            one.by_hand = true;
            one.lines.emplace_back("put by hand");
        }
    }
    std::erase_if(made, [](const Pin& p) { return !isDrawable(p); });
    std::stable_sort(made.begin(), made.end(), [](const Pin& a, const Pin& b) { return a.time_s < b.time_s; });
    for (std::size_t i = 0; i < made.size(); ++i) {
        made[i].number = static_cast<int>(i) + 1;
    }
    return made;
}

std::vector<Span> spans(const Analysis& analysis) {
    const Findings& findings = analysis.findings;
    const Landmarks& marks = findings.landmarks;
    const std::optional<std::size_t> largest = format::largestExotherm(findings);
    std::vector<Span> made;
    const std::optional<double> dose = doseStart(analysis.events);
    if (dose && marks.onset && *dose < marks.onset->time_s.value) {
        made.push_back({.from_s = *dose,
                        .to_s = marks.onset->time_s.value,
                        .text = "induction " + format::durationText(marks.onset->time_s.value - *dose)});
    }
    addSpan(made, "exotherm", marks.onset, asLandmark(marks.peak));
    addSpan(made, "peak to end", asLandmark(marks.peak), marks.end);
    for (const std::size_t i : format::namedExotherms(findings)) {
        if (i != largest) {
            addSpan(made, "exotherm", findings.exotherms[i].onset, findings.exotherms[i].peak);
        }
    }
    if (const auto& plateau = marks.boil_plateau; plateau && plateau->start_s < plateau->end_s) {
        made.push_back({.from_s = plateau->start_s, .to_s = plateau->end_s, .text = plateauText(*plateau)});
    }
    std::erase_if(made, [](const Span& s) { return !std::isfinite(s.from_s) || !std::isfinite(s.to_s); });
    std::stable_sort(made.begin(), made.end(), [](const Span& a, const Span& b) { return a.from_s < b.from_s; });
    return made;
}

std::vector<std::string> heatNotes(const HeatFindings& heat) {
    std::vector<std::string> lines;
    if (heat.released_j) {
        lines.push_back(fmt::format("{} {}", heat.lower_bound ? "at least" : "released",
                                    format::estimateText(*heat.released_j, Quantity::heat)));
    }
    if (heat.per_gram_j) {
        lines.push_back(format::estimateText(*heat.per_gram_j, Quantity::heat_per_gram) + " of resin");
    }
    if (heat.loss_coefficient_w_per_k) {
        lines.push_back("loss " + format::estimateText(*heat.loss_coefficient_w_per_k, Quantity::loss_coefficient));
    }
    if (heat.evaporated_g) {
        lines.push_back("boiled off " + format::estimateText(*heat.evaporated_g, Quantity::mass));
    }
    return lines;
}

std::vector<std::string> cureNotes(const CureFindings& cure) {
    std::vector<std::string> lines;
    if (cure.final_degree) {
        lines.push_back("final " + format::estimateText(*cure.final_degree, Quantity::degree));
    }
    if (!cure.stage.empty()) {
        lines.push_back("stage " + format::oneLine(cure.stage));
    }
    return lines;
}

} // namespace potwatch::report
