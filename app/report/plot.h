// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"
#include "analysis/values/progress.h"
#include "app/report/plot_content.h"
#include "app/session/report_run.h"
#include "app/session/report_wish.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::report {

// What of a run a plot shows, and how large it is.
struct PlotOptions {
    // The view that is drawn (as ChartView::shownView() has it); else the stretch that is worth seeing, or all of it.
    std::optional<PlotView> view{};
    bool whole_trace = false;
    // Of a PNG, in pixels; SVG and PDF have the same shape. A page is 1100 units wide, whatever its pixels.
    int width_px = 2200;
    int height_px = 1640;
};

// Draws one run as stacked panes on one time axis (temperature, rate, heat flow, degree of cure; those that are known)
// with its landmarks, spans, events, intervals and annotations, into a file whose ending says the format: .svg, .pdf or
// .png. Errors: input (another ending, a size of no use), storage (cannot be written), unsupported (built without Qt,
// or no font is installed).
[[nodiscard]] Result<void> writePlot(const Analysis& analysis, const std::string& path,
                                     const PlotOptions& options = {});

// The same as the text of an SVG file, for the clipboard. Errors: as writePlot.
[[nodiscard]] Result<std::string> plotSvg(const Analysis& analysis, const PlotOptions& options = {});

// Writes the report of one or more runs as .pdf or .html: the sections that are wished for.
// Errors: as writePlot.
[[nodiscard]] Result<void> writeReport(std::vector<session::ReportRun> runs, const session::ReportWish& wish,
                                       const std::string& path, const Progress& progress = {});

} // namespace potwatch::report
