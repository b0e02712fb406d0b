// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_content.h"

#include <QGraphicsScene>
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

} // namespace potwatch::report
