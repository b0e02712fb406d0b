// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/compare.h"
#include "io/book/content_hash.h"

#include <utility>

namespace potwatch::session {

compare::ComparedRun comparedRunOf(const Batch& batch, const Analysis& analysis) {
    // Of the readings, not of the file: the same run under another name, or in another unit, is still the same.
    book::ContentHash hash(2);
    hash.add(0, analysis.series.time_s);
    hash.add(1, analysis.series.reading_c);
    const std::vector<book::ContentHash::Title> titles{{.name = "reading", .unit = "degC"}};
    return compare::comparedRun(batch, analysis, analysis.series.time_s.empty() ? std::string() : hash.text(titles));
}

std::string blankIsNotCompared(std::string_view name) {
    return "a blank says how its vessel loses heat, and is not compared: " + std::string(name);
}

RunsToCompare openToCompare(std::span<const FileToOpen> files, const AnalyseOptions& options, const Progress& progress,
                            std::stop_token stop) {
    RunsToCompare opened;
    for (FileOutcome& outcome : analyseFiles(files, options, progress, std::move(stop))) {
        if (!outcome.result) {
            opened.faults.insert(opened.faults.end(), outcome.result.error().begin(), outcome.result.error().end());
        } else if (outcome.result->batch.blank) {
            opened.warnings.push_back(blankIsNotCompared(outcome.result->analysis.findings.run));
        } else {
            opened.runs.push_back(comparedRunOf(outcome.result->batch, outcome.result->analysis));
        }
    }
    return opened;
}

} // namespace potwatch::session
