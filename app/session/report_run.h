// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/findings.h"
#include "app/session/analyse_files.h"
#include "io/book/book.h"

#include <memory>
#include <string>
#include <vector>

namespace potwatch::session {

// A run as a report has it: what was found, what is stated, and its photos. The analysis is never null.
struct ReportRun {
    std::shared_ptr<const Analysis> analysis;
    Batch batch;
    std::vector<book::Photo> photos;
};

// The run that a file gave, with the photo that its batch file names; where that cannot be had, the findings' warnings
// say so.
[[nodiscard]] ReportRun reportRunOf(const AnalysedRun& run);

// The day of today as a report states it: "26 Nov 2026".
[[nodiscard]] std::string todayText();

} // namespace potwatch::session
