// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/report_wish.h"

#include "io/batch/nearest.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <optional>

namespace potwatch::session {
namespace {

struct Words {
    std::string_view name;
    std::string_view title;
    bool of_a_run;
};

Words wordsOf(ReportSection section) {
    switch (section) {
    case ReportSection::comparison:
        return {"comparison", "Comparison of the runs", false};
    case ReportSection::summary:
        return {"summary", "Table of all runs", false};
    case ReportSection::batch:
        return {"batch", "What was in the pot", true};
    case ReportSection::trace:
        return {"trace", "Plot of the trace", true};
    case ReportSection::findings:
        return {"findings", "Findings", true};
    case ReportSection::warnings:
        return {"warnings", "Warnings", true};
    case ReportSection::events:
        return {"events", "Events", true};
    case ReportSection::inputs:
        return {"inputs", "Figures that were used", true};
    case ReportSection::photos:
        return {"photos", "Photos", true};
    case ReportSection::cautions:
        return {"cautions", "Cautions", false};
    case ReportSection::method:
        return {"method", "How it was computed", false};
    }
    return {};
}

std::vector<std::string> allNames() {
    std::vector<std::string> names;
    for (const ReportSection section : all_report_sections) {
        names.emplace_back(nameOf(section));
    }
    return names;
}

} // namespace

std::string_view nameOf(ReportSection section) {
    return wordsOf(section).name;
}

std::string_view titleOf(ReportSection section) {
    return wordsOf(section).title;
}

bool isOfARun(ReportSection section) {
    return wordsOf(section).of_a_run;
}

std::string whyNot(ReportSection section, std::size_t runs) {
    return section == ReportSection::comparison && runs < 2 ? "a comparison takes two runs or more" : "";
}

Result<std::vector<ReportSection>> reportSections(std::span<const std::string> names) {
    const std::vector<std::string> known = allNames();
    std::vector<ReportSection> sections;
    for (const std::string& name : names) {
        const auto found = std::find(known.begin(), known.end(), name);
        if (found == known.end()) {
            const std::optional<std::size_t> meant = batch::nearest(name, known);
            return tl::unexpected(Fault{.kind = FaultKind::input,
                                        .what = fmt::format("a report has no section \"{}\"", name),
                                        .remedy = meant ? fmt::format("did you mean \"{}\"? There are: {}",
                                                                      known[*meant], fmt::join(known, ", "))
                                                        : fmt::format("there are: {}", fmt::join(known, ", "))});
        }
        const ReportSection section = all_report_sections.at(static_cast<std::size_t>(found - known.begin()));
        if (std::find(sections.begin(), sections.end(), section) == sections.end()) {
            sections.push_back(section);
        }
    }
    if (sections.empty()) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a report without a section would be empty",
                                    .remedy = fmt::format("name at least one of: {}", fmt::join(known, ", "))});
    }
    return sections;
}

bool ReportWish::has(ReportSection section) const {
    return std::find(sections.begin(), sections.end(), section) != sections.end();
}

} // namespace potwatch::session
