// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_content.h"

#include <span>
#include <string>

namespace potwatch::report {

// The report as one HTML file that needs nothing else: styles and plots are in it, no script, nothing is loaded.
// Shape: svgs[i] is the plot of run i as a whole SVG document.
[[nodiscard]] std::string htmlOf(const ReportContent& report, std::span<const std::string> svgs);

} // namespace potwatch::report
