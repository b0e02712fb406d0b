// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_print.h"

#include "app/report/compare_scene.h"
#include "app/report/drawing.h"

#include <QAbstractItemModel>
#include <QAbstractTextDocumentLayout>
#include <QPainter>
#include <QPrinter>
#include <QTextDocument>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

constexpr double page_width = 794.0; // of A4 at 96 dpi: the units of all that is drawn
constexpr double margin = 48.0;
constexpr double picture_height = 600.0;

// A document laid out to the width between the margins.
void layOut(QTextDocument& document, const QString& html, double size, double height) {
    document.setDefaultFont(report::drawingFont(size));
    document.setDocumentMargin(0.0);
    document.setDefaultStyleSheet(QStringLiteral("body { color: black } th { text-align: left }"));
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

QString tableHtml(const QAbstractItemModel& model, int note_role) {
    QString html = QStringLiteral("<table width=\"100%\" cellspacing=\"0\" cellpadding=\"3\"><thead><tr>");
    for (int column = 0; column < model.columnCount(); ++column) {
        html += QStringLiteral("<th>%1</th>")
                    .arg(model.headerData(column, Qt::Horizontal)
                             .toString()
                             .toHtmlEscaped()
                             .replace(QLatin1Char('\n'), QStringLiteral("<br>")));
    }
    html += QStringLiteral("</tr></thead>");
    for (int row = 0; row < model.rowCount(); ++row) {
        html += QStringLiteral("<tr>");
        for (int column = 0; column < model.columnCount(); ++column) {
            const QModelIndex at = model.index(row, column);
            const QString note = note_role == 0 ? QString() : at.data(note_role).toString();
            html += QStringLiteral("<td>%1%2</td>")
                        .arg(at.data().toString().toHtmlEscaped(),
                             note.isEmpty() ? QString() : QStringLiteral("<br>") + note.toHtmlEscaped());
        }
        html += QStringLiteral("</tr>");
    }
    return html + QStringLiteral("</table>");
}

Result<void> printSheet(const CompareSheet& sheet, QPrinter& printer) {
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
    if (sheet.compared && !sheet.compared->fault) {
        const QSizeF size(page_width - margin, std::min(picture_height, height - y - margin));
        const auto scene = report::compareScene(
            {.comparison = sheet.compared->comparison, .runs = sheet.compared->runs}, report::paperTheme(), size);
        painter.setRenderHint(QPainter::Antialiasing);
        scene->render(&painter, QRectF(QPointF(margin / 2.0, y), size), QRectF(QPointF(), size));
        y += size.height() + 10.0;
    }
    // The rest, page by page; on what is left of the first where all of it fits.
    const double full = height - 2.0 * margin;
    QTextDocument rest;
    layOut(rest, sheet.html + sheet.table, 11.0, 1e6);
    if (rest.size().height() <= height - margin - y) {
        painter.translate(margin, y);
        drawDocument(painter, rest, QRectF(0.0, 0.0, width, rest.size().height()));
        return {};
    }
    layOut(rest, sheet.html + sheet.table, 11.0, full);
    for (int page = 0; page < rest.pageCount(); ++page) {
        printer.newPage();
        painter.save();
        painter.translate(margin, margin - page * full);
        drawDocument(painter, rest, QRectF(0.0, page * full, width, full));
        painter.restore();
    }
    return {};
}

} // namespace potwatch::window
