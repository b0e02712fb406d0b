// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_content.h"

#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/findings_text.h"
#include "app/report/report_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::report {
namespace {

using format::Quantity;
using session::ReportRun;
using session::ReportSection;
using session::ReportWish;

std::string plotDescription(const Findings& findings) {
    std::string text = "Temperature against time of " + nameOf(findings);
    if (findings.landmarks.peak) {
        text += ", peak " + format::estimateText(findings.landmarks.peak->temperature_c, Quantity::temperature) +
                " at " + format::valueText(findings.landmarks.peak->time_s.value, Quantity::time);
    }
    return text + ".";
}

std::vector<Block> warningBlocks(const std::vector<std::string>& warnings) {
    BulletList list;
    for (const std::string& warning : warnings) {
        list.items.push_back(format::oneLine(warning));
    }
    if (list.items.empty()) {
        return {Paragraph{"None."}};
    }
    return {std::move(list)};
}

std::vector<Block> photoBlocks(const ReportRun& run, std::size_t index) {
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < run.photos.size(); i += 2) {
        PhotoRow row;
        for (std::size_t k = i; k < std::min(i + 2, run.photos.size()); ++k) {
            row.photos.push_back({.run = index, .photo = k, .caption = format::oneLine(run.photos[k].name)});
        }
        blocks.emplace_back(std::move(row));
    }
    return blocks;
}

std::vector<Block> batchBlocks(const Batch& batch) {
    std::vector<Block> blocks;
    if (Table table = batchTable(batch); !table.rows.empty()) {
        blocks.emplace_back(std::move(table));
    }
    if (const std::string notes = format::oneLine(batch.notes); !notes.empty()) {
        blocks.emplace_back(Paragraph{"Notes: " + notes});
    }
    if (blocks.empty()) {
        blocks.emplace_back(Paragraph{"Nothing is stated about this run but its trace."});
    }
    return blocks;
}

std::vector<Block> inputBlocks(const Findings& findings) {
    if (findings.inputs.empty()) {
        return {Paragraph{"Nothing but the trace itself was used."}};
    }
    return {inputTable(findings)};
}

// What a section says of a run; nothing = it is left out.
std::vector<Block> blocksOf(ReportSection section, const ReportRun& run, std::size_t index) {
    const Analysis& analysis = *run.analysis;
    switch (section) {
    case ReportSection::batch:
        return batchBlocks(run.batch);
    case ReportSection::trace:
        return {PlotPlace{.drawing = index, .description = plotDescription(analysis.findings)}};
    case ReportSection::findings:
        return findingBlocks(analysis.findings);
    case ReportSection::warnings:
        return warningBlocks(analysis.findings.warnings);
    case ReportSection::events:
        return analysis.events.empty() ? std::vector<Block>() : std::vector<Block>{eventTable(analysis)};
    case ReportSection::inputs:
        return inputBlocks(analysis.findings);
    case ReportSection::photos:
        return photoBlocks(run, index);
    default:
        return {};
    }
}

std::string headingOf(ReportSection section) {
    switch (section) {
    case ReportSection::comparison:
        return "Comparison";
    case ReportSection::summary:
        return "All runs";
    case ReportSection::trace:
        return "Trace";
    case ReportSection::inputs:
        return "Inputs";
    case ReportSection::method:
        return "How the figures were found";
    default:
        return std::string(titleOf(section));
    }
}

// A blank is not compared.
std::ptrdiff_t countToCompare(std::span<const ReportRun> runs) {
    return std::count_if(runs.begin(), runs.end(), [](const ReportRun& run) { return !run.batch.blank; });
}

void addRuns(ReportContent& report, std::span<const ReportRun> runs, const ReportWish& wish) {
    const bool several = runs.size() > 1;
    const std::vector<std::string> names = namesOf(runs);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (several) {
            report.sections.push_back({.heading = names[i],
                                       .on_new_page = true,
                                       .blocks = {Paragraph{samplesText(runs[i].analysis->findings)}}});
        }
        for (const ReportSection section : wish.sections) {
            std::vector<Block> blocks = blocksOf(section, runs[i], i);
            if (!blocks.empty()) {
                report.sections.push_back(
                    {.heading = headingOf(section), .level = several ? 3 : 2, .blocks = std::move(blocks)});
            }
        }
    }
}

} // namespace

std::vector<std::string> namesOf(std::span<const ReportRun> runs) {
    std::vector<std::string> names;
    for (const ReportRun& run : runs) {
        names.push_back(nameOf(run.analysis->findings));
    }
    return session::uniqueNames(names);
}

ReportContent reportContent(std::span<const ReportRun> runs, const ReportWish& wish,
                            const session::Comparison* comparison) {
    ReportContent report;
    const bool several = runs.size() > 1;
    const bool compares =
        wish.has(ReportSection::comparison) && several && (comparison != nullptr || countToCompare(runs) < 2);
    report.title = several        ? fmt::format("Cure report: {} runs", runs.size())
                   : runs.empty() ? "Cure report: no run"
                                  : "Cure report: " + nameOf(runs.front().analysis->findings);
    if (runs.size() == 1) {
        report.lead.emplace_back(Paragraph{samplesText(runs.front().analysis->findings)});
    }
    bool runs_done = false;
    for (const ReportSection section : wish.sections) {
        if (isOfARun(section)) {
            if (!std::exchange(runs_done, true)) {
                addRuns(report, runs, wish);
            }
            continue;
        }
        std::vector<Block> blocks;
        if (section == ReportSection::comparison && compares) {
            blocks = comparisonBlocks(runs, comparison);
        } else if (section == ReportSection::summary && !compares &&
                   (several || (!runs.empty() && !wish.has(ReportSection::findings)))) {
            blocks.emplace_back(summaryTable(runs));
        } else if (section == ReportSection::cautions) {
            blocks = cautionBlocks();
        } else if (section == ReportSection::method) {
            blocks = methodBlocks(runs, compares ? comparison : nullptr);
        }
        // After several runs, each on pages of its own, what holds for all of them starts a page too.
        const bool after_runs = several && runs_done && !report.sections.empty() && report.sections.back().level == 3;
        if (!blocks.empty()) {
            report.sections.push_back(
                {.heading = section == ReportSection::summary && !several ? "Summary" : headingOf(section),
                 .on_new_page = after_runs,
                 .blocks = std::move(blocks)});
        }
    }
    report.foot = fmt::format("Potwatch {}{}{}", programVersion(), wish.made_on.empty() ? "" : " \u00b7 ",
                              format::oneLine(wish.made_on));
    return report;
}

} // namespace potwatch::report
