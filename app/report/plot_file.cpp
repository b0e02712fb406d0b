// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/text.h"
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/findings_text.h"
#include "app/report/picture.h"
#include "app/report/plot.h"
#include "app/report/plot_content.h"
#include "app/report/plot_scene.h"
#include "app/session/whole_file.h"

#include <QBuffer>
#include <QByteArray>
#include <QImage>
#include <QPageSize>
#include <QPainter>
#include <QPdfWriter>
#include <QRegularExpression>
#include <QSvgGenerator>

namespace potwatch::report {
namespace {

QRectF pageRect(QSizeF page) {
    return {QPointF(0.0, 0.0), page};
}

} // namespace

Fault cannotDraw(const std::string& path) {
    return {.kind = FaultKind::storage,
            .what = "the picture could not be made",
            .where = {.file = path},
            .remedy = "free some memory and try again"};
}

std::string svgOf(QGraphicsScene& scene, QSizeF page, const std::string& title) {
    QByteArray bytes;
    QBuffer buffer(&bytes);
    QSvgGenerator generator;
    generator.setOutputDevice(&buffer);
    generator.setResolution(96); // else text comes out a quarter too small
    generator.setSize(page.toSize());
    generator.setViewBox(pageRect(page));
    generator.setTitle(QString::fromStdString(format::escaped(title))); // Qt puts it in as it is
    generator.setDescription(QStringLiteral("Made by Potwatch ") +
                             QString::fromStdString(std::string(programVersion())));
    QPainter painter(&generator);
    scene.render(&painter, pageRect(page), pageRect(page));
    painter.end();
    // Where the font is not installed, one of the same widths is the next best.
    bytes.replace("font-family=\"DejaVu Sans\"", "font-family=\"DejaVu Sans, Bitstream Vera Sans, sans-serif\"");
    // Qt wraps each change of state in a group, most of them empty: two thirds of the file.
    static const QRegularExpression empty_group(QStringLiteral("<g [^>]*>\\s*</g>\\s*"));
    return QString::fromUtf8(bytes).remove(empty_group).toStdString();
}

std::string pdfOf(QGraphicsScene& scene, QSizeF page, const std::string& title) {
    constexpr double points_per_unit = 72.0 / 96.0;
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter writer(&buffer);
    writer.setPageSize(QPageSize(page * points_per_unit, QPageSize::Point, QString(), QPageSize::ExactMatch));
    writer.setPageMargins(QMarginsF());
    writer.setResolution(1200);
    writer.setTitle(QString::fromStdString(title));
    writer.setCreator(QStringLiteral("Potwatch ") + QString::fromStdString(std::string(programVersion())));
    QPainter painter(&writer);
    if (!painter.isActive()) {
        return {};
    }
    scene.render(&painter, QRectF(0.0, 0.0, writer.width(), writer.height()), pageRect(page));
    painter.end();
    return bytes.toStdString();
}

std::string pngOf(QGraphicsScene& scene, QSizeF page) {
    constexpr double pixels_per_unit = 2.0;
    QImage image((page * pixels_per_unit).toSize(), QImage::Format_RGB32);
    if (image.isNull()) {
        return {};
    }
    image.fill(Qt::white);
    image.setDotsPerMeterX(7559); // 192 dpi: printed as large as the others
    image.setDotsPerMeterY(7559);
    QPainter painter(&image);
    painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
    scene.render(&painter, QRectF(QPointF(0.0, 0.0), QSizeF(image.size())), pageRect(page));
    painter.end();
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    return image.save(&buffer, "PNG") ? bytes.toStdString() : std::string();
}

Result<void> writePlot(const Analysis& analysis, const std::string& path) {
    const bool svg = hasEnding(path, ".svg");
    const bool pdf = hasEnding(path, ".pdf");
    if (!svg && !pdf && !hasEnding(path, ".png")) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a plot is written as .svg, .pdf or .png",
                                    .where = {.file = path},
                                    .remedy = "give the file one of these endings"});
    }
    if (auto ready = prepareDrawing(); !ready) {
        return ready;
    }
    const PlotContent content = plotContent(analysis);
    const std::unique_ptr<QGraphicsScene> scene = plotScene(content);
    std::string bytes;
    if (svg) {
        bytes = svgOf(*scene, plot_page, content.title);
    } else {
        bytes = pdf ? pdfOf(*scene, plot_page, content.title) : pngOf(*scene, plot_page);
    }
    return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
}

} // namespace potwatch::report
