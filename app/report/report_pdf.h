// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/report_document.h"

#include <QBuffer>
#include <QByteArray>
#include <QPdfWriter>

#include <memory>
#include <string>

namespace potwatch::report {

// A document going into an A4 PDF with real text and vector plots.
class ReportPdf {
public:
    explicit ReportPdf(const ReportDocument& document);

    bool paintNext(); // as ReportPainting
    // The whole file, once no page is left. Empty where memory ran out.
    [[nodiscard]] std::string bytes();

private:
    QByteArray bytes_;
    QBuffer buffer_{&bytes_};
    std::unique_ptr<QPdfWriter> writer_;
    std::unique_ptr<ReportPainting> painting_;
};

} // namespace potwatch::report
