// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

// What a report can be made of.
enum class ReportSection { summary, batch, trace, findings, warnings, events, inputs, photos, cautions, method };

inline constexpr std::array<ReportSection, 10> all_report_sections{
    ReportSection::summary,  ReportSection::batch,  ReportSection::trace,  ReportSection::findings,
    ReportSection::warnings, ReportSection::events, ReportSection::inputs, ReportSection::photos,
    ReportSection::cautions, ReportSection::method};

// "trace": as it is named on the command line and in the settings.
[[nodiscard]] std::string_view nameOf(ReportSection section);
// "Plot of the trace": as a person chooses it.
[[nodiscard]] std::string_view titleOf(ReportSection section);
// Whether each run has its own.
[[nodiscard]] bool isOfARun(ReportSection section);

// Sections by their names, in the order given, each once. Errors: input (no such section: names the nearest and all
// that there are; none given).
[[nodiscard]] Result<std::vector<ReportSection>> reportSections(std::span<const std::string> names);

// What is wanted of a report. Sections stand in the order given, but for those of the runs, which stay together, run by
// run, where the first of them is.
struct ReportWish {
    std::vector<ReportSection> sections{all_report_sections.begin(), all_report_sections.end()};
    std::string made_on{}; // "26 Nov 2026"; empty = not said

    [[nodiscard]] bool has(ReportSection section) const;

    bool operator==(const ReportWish&) const = default;
};

} // namespace potwatch::session
