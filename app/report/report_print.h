// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/session/report_run.h"
#include "app/session/report_wish.h"

#include <QPagedPaintDevice>

#include <vector>

namespace potwatch::report {

// Prints the report of one or more runs, page for page as its PDF has them, fitted onto the device's paper.
// Errors: unsupported (no font is installed), device (it does not take the pages).
[[nodiscard]] Result<void> printReport(std::vector<session::ReportRun> runs, const session::ReportWish& wish,
                                       QPagedPaintDevice& device);

// For a device that does not take the pages.
[[nodiscard]] Fault printerRefuses();

} // namespace potwatch::report
