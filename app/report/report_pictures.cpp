// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_pictures.h"

#include "app/report/compare_scene.h"
#include "app/report/plot_scene.h"
#include "app/report/theme.h"

#include <QBuffer>
#include <QByteArray>
#include <QImageReader>
#include <QPainter>

#include <algorithm>
#include <utility>

namespace potwatch::report {
namespace {

// Narrower than a plot alone, so that its words are still read easily on an A4 page.
constexpr QSizeF plot_size(860.0, 630.0);

// Wide and low: with few runs both stand on one page.
constexpr QSizeF comparison_size(800.0, 360.0);

constexpr int most_photo_pixels = 1600; // of the longer side: 200 dots an inch over the width of the text

} // namespace

void addPictures(ReportPictures& pictures, const session::ReportRun& run, bool with_plot, bool with_photos) {
    Drawing drawing{.scene = nullptr, .size = plot_size};
    if (with_plot) {
        pictures.contents.push_back(plotContent(*run.analysis));
        pictures.contents.back().title.clear(); // the section's heading says it
        drawing.scene = plotScene(pictures.contents.back(), plot_size);
    }
    pictures.plots.push_back(std::move(drawing));
    std::vector<QImage> photos;
    for (const book::Photo& photo : run.photos) {
        photos.push_back(with_photos ? photoImage(photo.bytes) : QImage());
    }
    pictures.photos.push_back(std::move(photos));
}

void addComparison(ReportPictures& pictures, const ComparePicture& comparison) {
    for (const ComparePart part : {ComparePart::overlay, ComparePart::scatter}) {
        pictures.plots.push_back(
            {.scene = compareScene(comparison, paperTheme(), comparison_size, part), .size = comparison_size});
    }
}

QImage photoImage(const std::string& bytes) {
    QByteArray data = QByteArray::fromRawData(bytes.data(), static_cast<qsizetype>(bytes.size()));
    QBuffer buffer(&data);
    buffer.open(QIODevice::ReadOnly);
    QImageReader reader(&buffer);
    reader.setAutoTransform(true);
    const QSize size = reader.size();
    if (std::max(size.width(), size.height()) > most_photo_pixels) {
        reader.setScaledSize(size.scaled(most_photo_pixels, most_photo_pixels, Qt::KeepAspectRatio));
    }
    const QImage read = reader.read();
    if (read.isNull()) {
        return read;
    }
    // On paper: what is transparent is white.
    QImage image(read.size(), QImage::Format_RGB32);
    image.fill(Qt::white);
    QPainter(&image).drawImage(QPoint(0, 0), read);
    return image;
}

std::string jpegOf(const QImage& image) {
    constexpr int quality = 85;
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    return !image.isNull() && image.save(&buffer, "JPG", quality) ? bytes.toStdString() : std::string();
}

} // namespace potwatch::report
