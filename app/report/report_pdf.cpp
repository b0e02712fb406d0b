// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_pdf.h"

#include <QMarginsF>
#include <QPageSize>

namespace potwatch::report {

ReportPdf::ReportPdf(const ReportDocument& document) {
    constexpr int dots_per_inch = 1200;
    constexpr double units_per_inch = 96.0;
    buffer_.open(QIODevice::WriteOnly);
    writer_ = std::make_unique<QPdfWriter>(&buffer_);
    writer_->setPageSize(QPageSize(QPageSize::A4));
    writer_->setPageMargins(QMarginsF());
    writer_->setResolution(dots_per_inch);
    writer_->setTitle(QString::fromStdString(document.content().title));
    writer_->setCreator(QString::fromStdString(document.content().foot));
    painting_ = std::make_unique<ReportPainting>(document, *writer_, dots_per_inch / units_per_inch);
}

bool ReportPdf::paintNext() {
    return painting_->paintNext();
}

std::string ReportPdf::bytes() {
    return painting_->end() ? bytes_.toStdString() : std::string();
}

} // namespace potwatch::report
