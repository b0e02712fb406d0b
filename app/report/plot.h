// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"

#include <span>
#include <string>

namespace potwatch::report {

// Draws one run as stacked panes on one time axis (temperature, rate, heat flow, degree of cure; those that are known)
// with its landmarks, spans, events and intervals, into a file whose ending says the format: .svg, .pdf or .png.
// Errors: input (another ending), storage (cannot be written), unsupported (built without Qt, or no font is installed).
[[nodiscard]] Result<void> writePlot(const Analysis& analysis, const std::string& path);

// Writes the report of one or more runs (inputs, findings with uncertainty, plot, warnings, cautions) as .pdf or .html.
// Errors: as writePlot.
[[nodiscard]] Result<void> writeReport(std::span<const Analysis> analyses, const std::string& path);

} // namespace potwatch::report
