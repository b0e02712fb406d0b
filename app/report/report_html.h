// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_content.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch::report {

// The pictures of a report as bytes. Shape: svgs[i] is drawing i as a whole SVG document; jpegs[i] are the photos of
// run i in base64, an empty text for one that cannot be shown.
struct HtmlPictures {
    std::span<const std::string> svgs{};
    std::span<const std::vector<std::string>> jpegs{};
};

// The report as one HTML file that needs nothing else: styles and pictures are in it, no script, nothing is loaded.
[[nodiscard]] std::string htmlOf(const ReportContent& report, const HtmlPictures& pictures = {});

} // namespace potwatch::report
