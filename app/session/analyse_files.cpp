// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/analyse_files.h"

#include "app/session/batch_findings.h"

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <optional>
#include <thread>
#include <utility>

namespace potwatch::session {
namespace {

using Opened = tl::expected<OpenedRun, Faults>;

// The share of the progress that opening takes; the rest is the analysis. A rough guess is good enough for a progress
// line.
constexpr double opening_share = 0.3;

std::vector<Opened> openAll(std::span<const FileToOpen> files, const Progress& progress, const std::stop_token& stop) {
    if (files.size() == 1) {
        const FileToOpen& only = files.front();
        std::vector<Opened> opened;
        opened.push_back(openRun(
            only.file, only.options,
            progress ? [&](double fraction, std::string_view doing) { progress(opening_share * fraction, doing); }
                     : Progress(),
            stop));
        return opened;
    }
    std::vector<std::optional<Opened>> slots(files.size());
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t i = next++; i < files.size(); i = next++) {
            OpenOptions options = files[i].options;
            options.import.workers = 1; // the files are what is shared out here
            slots[i] = openRun(files[i].file, options, {}, stop);
        }
    };
    {
        const std::jthread second(work);
        work();
    }
    if (progress) {
        progress(opening_share, "reading the files");
    }
    std::vector<Opened> opened;
    for (std::optional<Opened>& slot : slots) {
        opened.push_back(std::move(*slot));
    }
    return opened;
}

} // namespace

std::vector<FileOutcome> analyseFiles(std::span<const FileToOpen> files, const AnalyseOptions& options,
                                      const Progress& progress, std::stop_token stop) {
    std::vector<Opened> opened = openAll(files, progress, stop);
    std::vector<Run> runs;
    for (Opened& one : opened) {
        if (one) {
            runs.push_back(std::move(one->run));
        }
    }
    const Progress rest =
        progress ? [&](double fraction,
                       std::string_view doing) { progress(opening_share + (1.0 - opening_share) * fraction, doing); }
                 : Progress();
    std::vector<Result<Analysis>> analyses;
    if (!runs.empty()) {
        analyses = analyse(runs, options, rest, std::move(stop));
    }

    std::vector<FileOutcome> outcomes;
    std::size_t done = 0;
    for (std::size_t i = 0; i < files.size(); ++i) {
        FileOutcome outcome{.file = files[i].file, .result = AnalysedRun()};
        if (!opened[i]) {
            outcome.result = tl::unexpected(std::move(opened[i].error()));
        } else if (!analyses[done]) {
            Fault fault = std::move(analyses[done].error());
            if (fault.where.file.empty()) {
                fault.where.file = files[i].file;
            }
            outcome.result = tl::unexpected(Faults{std::move(fault)});
            ++done;
        } else {
            outcome.result->batch = std::move(runs[done].batch);
            outcome.result->analysis = std::move(*analyses[done]);
            addBatchFindings(outcome.result->analysis, outcome.result->batch);
            std::vector<std::string>& warnings = outcome.result->analysis.findings.warnings;
            warnings.insert(warnings.begin(), opened[i]->warnings.begin(), opened[i]->warnings.end());
            ++done;
        }
        outcomes.push_back(std::move(outcome));
    }
    return outcomes;
}

} // namespace potwatch::session
