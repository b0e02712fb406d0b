// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_content.h"

#include <QGraphicsScene>
#include <QPagedPaintDevice>
#include <QSizeF>

#include <memory>
#include <string>
#include <vector>

namespace potwatch::report {

// The report as an A4 PDF with real text and vector plots. No table row, plot or list item is torn by a page's end, a
// heading stays with what follows, a table that runs on repeats its head. Shape: plots[i] is the scene of run i,
// plot_page its size. Errors: an empty string where memory runs out.
[[nodiscard]] std::string reportPdf(const ReportContent& report,
                                    const std::vector<std::unique_ptr<QGraphicsScene>>& plots, QSizeF plot_page);

// The size of its pages, in page units (1/96 inch): A4.
inline constexpr double report_page_width = 793.7;
inline constexpr double report_page_height = 1122.5;

// The same pages on any device, an A4 page unit being so many of its dots. False where it does not take them.
[[nodiscard]] bool paintReport(const ReportContent& report, const std::vector<std::unique_ptr<QGraphicsScene>>& plots,
                               QSizeF plot_page, QPagedPaintDevice& device, double dots_per_unit);

} // namespace potwatch::report
