// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/text.h"
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/findings_text.h"
#include "app/report/picture.h"
#include "app/report/plot.h"
#include "app/report/plot_image.h"
#include "app/report/plot_picture.h"
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

#include <algorithm>
#include <cmath>

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

QImage imageOf(QGraphicsScene& scene, QSizeF page, QSize pixels) {
    constexpr double metres_in_an_inch = 0.0254;
    constexpr double units_an_inch = 96.0;
    QImage image(pixels, QImage::Format_RGB32);
    if (image.isNull()) {
        return image;
    }
    // Printed as large as the others.
    const double pixels_per_unit = pixels.width() / page.width();
    const int dots_per_metre = static_cast<int>(std::lround(units_an_inch * pixels_per_unit / metres_in_an_inch));
    image.setDotsPerMeterX(dots_per_metre);
    image.setDotsPerMeterY(dots_per_metre);
    image.fill(Qt::white);
    QPainter painter(&image);
    painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
    scene.render(&painter, QRectF(QPointF(0.0, 0.0), QSizeF(image.size())), pageRect(page), Qt::IgnoreAspectRatio);
    return image;
}

std::string pngOf(const QImage& image) {
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    return image.save(&buffer, "PNG") ? bytes.toStdString() : std::string();
}

namespace {

// A plot laid out as the options want it.
class Plot {
public:
    Plot(const Analysis& analysis, const PlotOptions& options, bool for_pixels)
        : content_(plotContent(analysis))
        , page_(plot_page.width(), plot_page.width() * options.height_px / options.width_px)
        , picture_(content_, paperTheme()) {
        PlotView view = fittedView(content_);
        if (options.view && options.view->panes.size() == content_.panes.size() &&
            options.view->shown_s.width() > 0.0) {
            view = *options.view;
        } else if (options.whole_trace) {
            view = viewOf(content_, wholeRange(content_));
        }
        const double columns_per_unit = for_pixels ? options.width_px / page_.width() : 2.0;
        picture_.layOut(PlotPage{.size = page_}, view,
                        {.columns_per_unit = columns_per_unit, .for_pixels = for_pixels});
    }

    [[nodiscard]] QGraphicsScene& scene() { return picture_.scene(); }
    [[nodiscard]] QSizeF page() const { return page_; }
    [[nodiscard]] const std::string& title() const { return content_.title; }

private:
    PlotContent content_;
    QSizeF page_;
    PlotPicture picture_;
};

Result<void> checked(const PlotOptions& options) {
    constexpr int least_px = 200;
    constexpr int most_px = 20000;
    constexpr double least_shape = 0.4; // height of a page by its width, that there is room for every pane
    constexpr double most_shape = 4.0;
    const double shape = static_cast<double>(options.height_px) / std::max(1, options.width_px);
    if (options.width_px < least_px || options.height_px < least_px || options.width_px > most_px ||
        options.height_px > most_px || shape < least_shape || shape > most_shape) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a picture of that size cannot be drawn",
                                    .where = {},
                                    .remedy = "take 200 to 20000 pixels a side, and between 0.4 and 4 times as high as "
                                              "wide"});
    }
    return prepareDrawing();
}

} // namespace

Result<QImage> plotImage(const Analysis& analysis, const PlotOptions& options) {
    if (auto ready = checked(options); !ready) {
        return tl::unexpected(ready.error());
    }
    Plot plot(analysis, options, true);
    QImage image = imageOf(plot.scene(), plot.page(), QSize(options.width_px, options.height_px));
    if (image.isNull()) {
        return tl::unexpected(cannotDraw(""));
    }
    return image;
}

Result<std::string> plotSvg(const Analysis& analysis, const PlotOptions& options) {
    if (auto ready = checked(options); !ready) {
        return tl::unexpected(ready.error());
    }
    Plot plot(analysis, options, false);
    return svgOf(plot.scene(), plot.page(), plot.title());
}

Result<void> writePlot(const Analysis& analysis, const std::string& path, const PlotOptions& options) {
    const bool svg = hasEnding(path, ".svg");
    const bool pdf = hasEnding(path, ".pdf");
    if (!svg && !pdf && !hasEnding(path, ".png")) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a plot is written as .svg, .pdf or .png",
                                    .where = {.file = path},
                                    .remedy = "give the file one of these endings"});
    }
    if (auto ready = checked(options); !ready) {
        return ready;
    }
    Plot plot(analysis, options, !svg && !pdf);
    std::string bytes;
    if (svg) {
        bytes = svgOf(plot.scene(), plot.page(), plot.title());
    } else if (pdf) {
        bytes = pdfOf(plot.scene(), plot.page(), plot.title());
    } else {
        bytes = pngOf(imageOf(plot.scene(), plot.page(), QSize(options.width_px, options.height_px)));
    }
    return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
}

} // namespace potwatch::report
