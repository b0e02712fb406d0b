// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse.h"
#include "app/session/open.h"

#include <tl/expected.hpp>

#include <span>
#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::session {

// A file and what is to be assumed of it.
struct FileToOpen {
    std::string file;
    OpenOptions options;
};

struct AnalysedRun {
    Batch batch;
    Analysis analysis;
};

// What became of one file.
struct FileOutcome {
    std::string file;
    tl::expected<AnalysedRun, Faults> result;
};

// Opens the files, two at a time, and analyses together those that could be opened; outcomes in the order given. One
// bad file does not keep the others from being analysed. Errors: per file, those of openRun and potwatch::analyse.
[[nodiscard]] std::vector<FileOutcome> analyseFiles(std::span<const FileToOpen> files, const AnalyseOptions& options,
                                                    const Progress& progress = {}, std::stop_token stop = {});

} // namespace potwatch::session
