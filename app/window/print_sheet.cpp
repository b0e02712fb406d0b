// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/print_sheet.h"

#include "app/report/drawing.h"

#include <QAbstractTextDocumentLayout>
#include <QPainter>
#include <QPrinter>
#include <QTextCursor>
#include <QTextDocument>

#include <algorithm>

namespace potwatch::window {
namespace {

constexpr double page_width = 794.0; // of A4 at 96 dpi: the units of all that is drawn
constexpr double margin = 48.0;

// A document laid out to the width between the margins.
void layOut(QTextDocument& document, const QString& html, double size, double height) {
    document.setDefaultFont(report::drawingFont(size));
    document.setDocumentMargin(0.0);
    document.setDefaultStyleSheet(QStringLiteral("body { color: black } th { text-align: left } "
                                                 "table.wide th, table.wide td { font-size: 8px }"));
    document.setHtml(QStringLiteral("<body>%1</body>").arg(html));
    document.setPageSize(QSizeF(page_width - 2.0 * margin, height));
}

// Without the window's colours: paper is white in the dark as well.
void drawDocument(QPainter& painter, const QTextDocument& document, const QRectF& clip) {
    QAbstractTextDocumentLayout::PaintContext context;
    context.palette.setColor(QPalette::Text, Qt::black);
    context.clip = clip;
    painter.save();
    painter.setClipRect(clip);
    document.documentLayout()->draw(&painter, context);
    painter.restore();
}

} // namespace

Result<void> printSheet(const Sheet& sheet, QPrinter& printer) {
    if (auto ready = report::prepareDrawing(); !ready) {
        return ready;
    }
    QPainter painter(&printer);
    if (!painter.isActive()) {
        return tl::unexpected(Fault{.kind = FaultKind::storage,
                                    .what = "the printer takes nothing",
                                    .where = {},
                                    .remedy = "choose another printer, or print into a PDF"});
    }
    const QRectF paper = printer.pageRect(QPrinter::DevicePixel);
    const double scale = paper.width() / page_width;
    painter.scale(scale, scale);
    const double height = paper.height() / scale;
    const double width = page_width - 2.0 * margin;
    double y = margin;

    QTextDocument head;
    layOut(head,
           QStringLiteral("<p><b>%1</b></p><p>%2</p>").arg(sheet.title.toHtmlEscaped(), sheet.headline.toHtmlEscaped()),
           17.0, 1e6);
    painter.translate(margin, y);
    drawDocument(painter, head, QRectF(0.0, 0.0, width, head.size().height()));
    painter.translate(-margin, -y);
    y += head.size().height() + 14.0;
    if (sheet.picture) {
        const QSizeF size(page_width - margin, std::min(sheet.picture_height, height - y - margin));
        const std::unique_ptr<QGraphicsScene> scene = sheet.picture(size);
        painter.setRenderHint(QPainter::Antialiasing);
        scene->render(&painter, QRectF(QPointF(margin / 2.0, y), size), QRectF(QPointF(), size));
        y += size.height() + 10.0;
    }
    // The rest below the picture, where all of it fits there or it takes more than a page of its own; otherwise on the
    // next page, unbroken.
    const double full = height - 2.0 * margin;
    const double left = height - margin - y;
    QTextDocument rest;
    layOut(rest, sheet.html, 11.0, 1e6);
    const double whole = rest.size().height();
    const bool follows = whole <= left || whole > full;
    layOut(rest, sheet.html, 11.0, full);
    if (follows) { // an empty line as high as what stands there already: a margin at the top does not count
        QTextCursor start(&rest);
        start.insertBlock();
        start.movePosition(QTextCursor::Start);
        QTextBlockFormat taken;
        taken.setLineHeight(y - margin, QTextBlockFormat::FixedHeight);
        start.setBlockFormat(taken);
    } else {
        printer.newPage();
    }
    for (int page = 0; page < rest.pageCount(); ++page) {
        if (page > 0) {
            printer.newPage();
        }
        painter.save();
        painter.translate(margin, margin - page * full);
        drawDocument(painter, rest, QRectF(0.0, page * full, width, full));
        painter.restore();
    }
    return {};
}

} // namespace potwatch::window
