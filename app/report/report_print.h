// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"

#include <QPagedPaintDevice>

#include <span>

namespace potwatch::report {

// Prints the report of one or more runs, page for page as its PDF has them, fitted onto the device's paper.
// Errors: unsupported (no font is installed), device (it does not take the pages).
[[nodiscard]] Result<void> printReport(std::span<const Analysis> analyses, QPagedPaintDevice& device);

} // namespace potwatch::report
