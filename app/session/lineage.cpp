// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/lineage.h"

#include "analysis/compare/compared_run.h"
#include "app/session/batch_change.h"

#include <algorithm>
#include <cmath>

namespace potwatch::session {
namespace {

FigureChange changeOf(const std::optional<Estimate>& before, const std::optional<Estimate>& now, bool before_at_least,
                      bool now_at_least) {
    FigureChange change{.before = before,
                        .now = now,
                        .before_at_least = before && before_at_least,
                        .now_at_least = now && now_at_least,
                        .difference = std::nullopt};
    if (before && now && !before_at_least && !now_at_least) {
        // Each side of the interval by the ends that matter to it, so that a lopsided one stays so.
        const double value = now->value - before->value;
        change.difference = Estimate{.value = value,
                                     .u = std::hypot(now->u, before->u),
                                     .low = value - std::hypot(now->value - now->low, before->high - before->value),
                                     .high = value + std::hypot(now->high - now->value, before->value - before->low)};
    }
    return change;
}

std::optional<Estimate> peakOf(const compare::ComparedRun* run) {
    return run != nullptr && run->findings.landmarks.peak ? std::optional(run->findings.landmarks.peak->temperature_c)
                                                          : std::nullopt;
}

std::optional<Estimate> heatOf(const compare::ComparedRun* run) {
    return run != nullptr ? run->findings.heat.per_gram_j : std::nullopt;
}

std::optional<Estimate> degreeOf(const compare::ComparedRun* run) {
    return run != nullptr ? run->findings.cure.final_degree : std::nullopt;
}

std::optional<bool> boiledOf(const compare::ComparedRun* run) {
    return run != nullptr ? std::optional(run->findings.landmarks.boil_plateau.has_value()) : std::nullopt;
}

bool heatIsLeast(const compare::ComparedRun* run) {
    return run != nullptr && run->findings.heat.lower_bound;
}

} // namespace

std::vector<LineageLine> lineage(std::span<const ListedRun> runs,
                                 std::span<const compare::ComparedRun* const> compared) {
    std::vector<LineageLine> lines;
    for (const BookLine& listed : bookLines(runs, {})) {
        if (runs[listed.run].row.notes.batch.blank) {
            continue;
        }
        const compare::ComparedRun* const now = compared[listed.run];
        LineageLine line{.run = listed.run,
                         .parent = parentOf(runs, listed.run),
                         .depth = listed.depth,
                         .name = listed.name,
                         .changes = {},
                         .peak_c = {},
                         .heat_j_per_g = {},
                         .degree = {},
                         .boiled = boiledOf(now),
                         .parent_boiled = std::nullopt,
                         .outcome = listed.outcome,
                         .parent_outcome = {}};
        if (line.parent && runs[*line.parent].row.notes.batch.blank) {
            line.parent.reset();
        }
        const compare::ComparedRun* const before = line.parent ? compared[*line.parent] : nullptr;
        if (line.parent) {
            const Batch& parent = runs[*line.parent].row.notes.batch;
            line.changes = batchChanges(parent, runs[listed.run].row.notes.batch);
            line.parent_boiled = boiledOf(before);
            line.parent_outcome = outcomeText(parent.outcome);
        }
        const bool now_boiled = line.boiled.value_or(false);
        line.peak_c = changeOf(peakOf(before), peakOf(now), line.parent_boiled.value_or(false), now_boiled);
        if (line.peak_c.difference) {
            line.peak_c.difference = changeOf(compare::withoutCommonError(*before, *line.peak_c.before),
                                              compare::withoutCommonError(*now, *line.peak_c.now), false, false)
                                         .difference;
        }
        line.heat_j_per_g = changeOf(heatOf(before), heatOf(now), heatIsLeast(before), heatIsLeast(now));
        line.degree = changeOf(degreeOf(before), degreeOf(now), false, false);
        lines.push_back(std::move(line));
    }
    return lines;
}

std::string boilChangeText(const LineageLine& line) {
    if (!line.boiled) {
        return {};
    }
    if (!line.parent_boiled) {
        return *line.boiled ? "boiled" : "";
    }
    if (*line.boiled) {
        return *line.parent_boiled ? "boiled, as before" : "boiled now";
    }
    return *line.parent_boiled ? "no longer boiled" : "";
}

} // namespace potwatch::session
