// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/overlay.h"

#include "analysis/heat/dose.h"

#include <array>
#include <utility>

namespace potwatch::compare {

namespace {

constexpr std::array<std::pair<Align, std::string_view>, 4> names{
    {{Align::start, "start"}, {Align::dose, "dose"}, {Align::onset, "onset"}, {Align::peak, "peak"}}};

AlignedRun alignedAt(const ComparedRun& run, Align align) {
    const Landmarks& marks = run.findings.landmarks;
    switch (align) {
    case Align::start:
        return {.offset_s = 0.0, .missing = {}};
    case Align::dose: {
        if (!run.batch.dose) {
            return {.offset_s = std::nullopt, .missing = "no dose is stated"};
        }
        const heat::DoseAsGiven given =
            heat::doseAsGiven(*run.batch.dose, run.batch.events, run.findings.samples.span_s);
        if (!given.course) {
            return {.offset_s = std::nullopt, .missing = given.missing};
        }
        return {.offset_s = given.course->startS(), .missing = {}};
    }
    case Align::onset:
        if (!marks.onset) {
            return {.offset_s = std::nullopt, .missing = "no onset was found"};
        }
        return {.offset_s = marks.onset->time_s.value, .missing = {}};
    case Align::peak:
        if (!marks.peak) {
            return {.offset_s = std::nullopt, .missing = "no peak was found"};
        }
        return {.offset_s = marks.peak->time_s.value, .missing = {}};
    }
    return {};
}

} // namespace

std::vector<AlignedRun> aligned(std::span<const ComparedRun> runs, Align align) {
    std::vector<AlignedRun> all;
    for (const ComparedRun& run : runs) {
        all.push_back(alignedAt(run, align));
    }
    return all;
}

std::string_view nameOf(Align align) {
    for (const auto& [one, name] : names) {
        if (one == align) {
            return name;
        }
    }
    return "";
}

std::optional<Align> alignOf(std::string_view name) {
    for (const auto& [one, word] : names) {
        if (word == name) {
            return one;
        }
    }
    return std::nullopt;
}

} // namespace potwatch::compare
