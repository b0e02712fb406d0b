// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/session/compare.h"

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

// What a report can be made of.
enum class ReportSection {
    comparison,
    summary,
    batch,
    trace,
    findings,
    warnings,
    events,
    inputs,
    photos,
    cautions,
    method
};

inline constexpr std::array<ReportSection, 11> all_report_sections{
    ReportSection::comparison, ReportSection::summary,  ReportSection::batch,  ReportSection::trace,
    ReportSection::findings,   ReportSection::warnings, ReportSection::events, ReportSection::inputs,
    ReportSection::photos,     ReportSection::cautions, ReportSection::method};

// "trace": as it is named on the command line and in the settings.
[[nodiscard]] std::string_view nameOf(ReportSection section);
// "Plot of the trace": as a person chooses it.
[[nodiscard]] std::string_view titleOf(ReportSection section);
// Whether each run has its own.
[[nodiscard]] bool isOfARun(ReportSection section);
// Why a report of so many runs has no such section; empty = it can have it.
[[nodiscard]] std::string whyNot(ReportSection section, std::size_t runs);

// Sections by their names, in the order given, each once. Errors: input (no such section: names the nearest and all
// that there are; none given).
[[nodiscard]] Result<std::vector<ReportSection>> reportSections(std::span<const std::string> names);

// What is wanted of a report. Sections stand in the order given, but for those of the runs, which stay together, run by
// run, where the first of them is.
struct ReportWish {
    std::vector<ReportSection> sections{all_report_sections.begin(), all_report_sections.end()};
    std::string made_on{};                         // "26 Nov 2026"; empty = not said
    std::optional<double> limit_c = usual_limit_c; // that the comparison keeps the peaks under; empty = none

    [[nodiscard]] bool has(ReportSection section) const;

    bool operator==(const ReportWish&) const = default;
};

} // namespace potwatch::session
