// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/compared_run.h"
#include "analysis/values/fault.h"
#include "app/session/compare.h"

#include <span>
#include <string>

namespace potwatch::report {

// A comparison and the runs that it is of, in the same order.
struct ComparePicture {
    const session::Comparison& comparison;
    std::span<const compare::ComparedRun> runs;
};

// Draws a comparison into a file whose ending says the format (.svg, .pdf or .png): the runs' temperatures laid over
// each other above, y against x with the trend, its bands and the limit below.
// Errors: as writePlot.
[[nodiscard]] Result<void> writeComparePlot(const ComparePicture& picture, const std::string& path);

} // namespace potwatch::report
