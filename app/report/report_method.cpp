// SPDX-License-Identifier: GPL-3.0-or-later
// What stands around the runs: the table of all, the cautions, and how it was computed.
#include "analysis/compare/figure.h"
#include "app/format/compare_text.h"
#include "app/format/explanation.h"
#include "app/format/finding_rows.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/report/findings_text.h"
#include "app/report/report_parts.h"
#include "app/session/book_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

namespace potwatch::report {
namespace {

using format::Quantity;

constexpr std::size_t longest_name = 60; // in the summary; the whole name heads the run's own part
constexpr const char* at_least = "at least ";

std::string orNotKnown(const std::optional<Estimate>& estimate, Quantity quantity) {
    return estimate ? format::estimateText(*estimate, quantity) : std::string(not_known);
}

// As a comparison has it: from the steps and events where there are some.
std::string doseRateText(const session::ReportRun& run) {
    if (!run.batch.dose) {
        return "not stated";
    }
    const compare::Figure& rate = *compare::findFigure("dose_rate_g_per_min");
    compare::ComparedRun dosed;
    dosed.batch = run.batch;
    dosed.findings.samples = run.analysis->findings.samples;
    const std::string text = format::figureText(rate.of(dosed), rate);
    return text.empty() ? std::string(not_known) : text;
}

std::string outcomeOf(const Batch& batch) {
    const std::string outcome = batch.blank ? "a blank" : session::outcomeText(batch.outcome);
    return outcome.empty() ? "not stated" : format::oneLine(outcome);
}

// Only what at least one of the runs has.
bool isFound(const format::FindingRow& row) {
    if (row.id == format::FindingId::samples) {
        return false; // counted, not found
    }
    return row.place.has_value() || !row.intervals.empty() || row.by_hand ||
           row.id == format::FindingId::referenceHeat || row.id == format::FindingId::stage;
}

} // namespace

Table summaryTable(std::span<const session::ReportRun> runs, bool with_blanks) {
    Table table{.name = "summary of the runs",
                .head = {"run", "dosing rate", "peak", "peak at", "onset", "heat released", "degree, stage", "boiled",
                         "outcome"}};
    const std::vector<std::string> names = namesOf(runs);
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (runs[i].batch.blank && !with_blanks) {
            continue;
        }
        const Findings& f = runs[i].analysis->findings;
        const Landmarks& marks = f.landmarks;
        const bool boiled = marks.boil_plateau.has_value(); // it would have become hotter
        table.rows.push_back(
            {format::shortened(names[i], longest_name), doseRateText(runs[i]),
             (boiled && marks.peak ? at_least : "") +
                 orNotKnown(marks.peak ? std::optional(marks.peak->temperature_c) : std::nullopt,
                            Quantity::temperature),
             orNotKnown(marks.peak ? std::optional(marks.peak->time_s) : std::nullopt, Quantity::time),
             orNotKnown(marks.onset ? std::optional(marks.onset->time_s) : std::nullopt, Quantity::time),
             (f.heat.lower_bound && f.heat.released_j ? at_least : "") + orNotKnown(f.heat.released_j, Quantity::heat),
             orNotKnown(f.cure.final_degree, Quantity::degree) +
                 (f.cure.stage.empty() ? std::string() : fmt::format(", {}", format::oneLine(f.cure.stage))),
             boiled ? "yes" : "no", outcomeOf(runs[i].batch)});
    }
    return table;
}

// Source: common practice of working with these substances, no source; the wording is the project's own.
std::vector<Block> cautionBlocks() {
    return {
        Paragraph{"Potwatch is not a safety device. It reads a trace and computes; it guards nobody and nothing. Local "
                  "codes and licensed practice decide what may be done, and where."},
        BulletList{{"Phenol burns the skin and passes through it into the body.", "Formaldehyde is a carcinogen.",
                    "Hydrochloric acid and formaldehyde together can form bis(chloromethyl) ether, a human carcinogen.",
                    "A closed hot mould is a pressure vessel.",
                    "A bigger, better insulated or faster dosed batch runs hotter than this one did: go up in small "
                    "steps.",
                    "Work under a fume hood, with gloves and a shield, in small batches, and keep the quench within "
                    "reach."}}};
}

std::vector<Block> methodBlocks(std::span<const session::ReportRun> runs, const session::Comparison* comparison) {
    std::vector<Block> blocks{Paragraph{
        "The reading is corrected for the probe's lag and smoothed by local polynomials whose window follows the noise "
        "and the slope. Standard uncertainties combine noise, heat capacity, loss, surroundings, lag, thermocouple and "
        "reference heat; \u00b1 is half of the 95 % interval."}};
    Table table{.name = "how the findings were computed", .head = {"finding", "how it was computed"}};
    std::set<std::string> told;
    std::set<int> versions;
    for (const session::ReportRun& run : runs) {
        versions.insert(run.analysis->findings.version);
        for (const format::FindingRow& row : format::findingRows(*run.analysis)) {
            const format::Method method = format::methodOf(row.id);
            // Several findings of one kind (the degree at several moments) are one method.
            if (!isFound(row) || !told.insert(method.how).second) {
                continue;
            }
            table.rows.push_back({row.name, method.inside.empty()
                                                ? method.how
                                                : fmt::format("{} As a formula: {}.", method.how, method.inside)});
        }
    }
    if (comparison != nullptr) {
        for (std::vector<std::string>& row : comparisonMethods(*comparison)) {
            table.rows.push_back(std::move(row));
        }
    }
    if (!table.rows.empty()) {
        blocks.emplace_back(std::move(table));
    }
    std::string all;
    for (const int version : versions) {
        all += (all.empty() ? "" : ", ") + std::to_string(version);
    }
    blocks.emplace_back(Paragraph{
        fmt::format("Computed by Potwatch {}{}.", programVersion(), all.empty() ? "" : ", analysis version " + all)});
    return blocks;
}

} // namespace potwatch::report
