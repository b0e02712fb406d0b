// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/report_output.h"

#include "app/report/picture.h"
#include "app/report/report_pdf.h"
#include "app/report/report_print.h"
#include "app/session/whole_file.h"

#include <QMetaObject>
#include <QPrinter>

#include <algorithm>
#include <utility>

namespace potwatch::window {

ReportOutput::ReportOutput(QObject* parent)
    : QObject(parent) {
    soon_.setSingleShot(true);
    connect(&soon_, &QTimer::timeout, this, &ReportOutput::go);
}

ReportOutput::~ReportOutput() = default; // the thread ends first: what was begun is written

bool ReportOutput::begin(const QString& words) {
    if (busy_) {
        Q_EMIT message(tr("Another report is still being written: try again in a moment"));
        return false;
    }
    busy_ = true;
    Q_EMIT message(words);
    Q_EMIT working(0.0);
    return true;
}

void ReportOutput::save(std::shared_ptr<report::ReportDocument> document, const QString& file) {
    if (!document || !begin(tr("Writing %1 ...").arg(file))) {
        return;
    }
    const double pages = std::max(1, document->pageCount());
    if (file.endsWith(QStringLiteral(".html"), Qt::CaseInsensitive) ||
        file.endsWith(QStringLiteral(".htm"), Qt::CaseInsensitive)) {
        next_ = [document] { return document->makeSvg(); };
        fraction_ = [] { return 0.5; };
        last_ = [this, document, file] { write(document->html(), file); };
    } else {
        const auto pdf = std::make_shared<report::ReportPdf>(*document);
        const auto painted = std::make_shared<int>(0);
        next_ = [document, pdf, painted] { return pdf->paintNext() && ++*painted > 0; };
        fraction_ = [painted, pages] { return *painted / pages; };
        last_ = [this, document, pdf, file] { write(pdf->bytes(), file); };
    }
    soon_.start(0);
}

void ReportOutput::print(std::shared_ptr<report::ReportDocument> document, std::unique_ptr<QPrinter> printer) {
    if (!document || !begin(tr("Printing ..."))) {
        return;
    }
    const double pages = std::max(1, document->pageCount());
    const std::shared_ptr<QPrinter> paper = std::move(printer);
    const auto painting = std::make_shared<report::ReportPainting>(*document, *paper, report::dotsPerUnit(*paper));
    // Whoever holds the painting holds what it paints with, and lets go of it later.
    next_ = [document, paper, painting] { return painting->paintNext(); };
    fraction_ = [document, paper, painting, pages] { return painting->pagesPainted() / pages; };
    last_ = [this, document, paper, painting] {
        end(painting->end() ? Result<void>() : tl::unexpected(report::printerRefuses()),
            tr("The report was sent to the printer"));
    };
    soon_.start(0);
}

void ReportOutput::go() {
    if (next_()) {
        Q_EMIT working(fraction_());
        soon_.start(0);
        return;
    }
    next_ = {};
    fraction_ = {};
    std::exchange(last_, {})();
}

void ReportOutput::write(std::string bytes, const QString& file) {
    const std::string path = file.toStdString();
    if (bytes.empty()) {
        end(tl::unexpected(report::cannotDraw(path)), {});
        return;
    }
    writer_ = std::jthread([this, bytes = std::move(bytes), path, file] {
        const Result<void> written = session::writeWholeFile(path, bytes);
        QMetaObject::invokeMethod(
            this, [this, written, file] { end(written, tr("Written: %1").arg(file)); }, Qt::QueuedConnection);
    });
}

void ReportOutput::end(const Result<void>& result, const QString& done) {
    busy_ = false;
    Q_EMIT message(result ? done : QString::fromStdString(describe(result.error())));
    Q_EMIT finished(result.has_value());
}

} // namespace potwatch::window
