// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <QGraphicsScene>
#include <QImage>
#include <QSizeF>

#include <string>

namespace potwatch::report {

// A laid out plot as the bytes of a file. All three show the same page; text stays text in SVG and PDF.
// Errors: an empty string where memory runs out.

[[nodiscard]] std::string svgOf(QGraphicsScene& scene, QSizeF page, const std::string& title);
[[nodiscard]] std::string pdfOf(QGraphicsScene& scene, QSizeF page, const std::string& title);
[[nodiscard]] QImage imageOf(QGraphicsScene& scene, QSizeF page, QSize pixels); // null where memory runs out
[[nodiscard]] std::string pngOf(const QImage& image);

// For a picture that came out empty.
[[nodiscard]] Fault cannotDraw(const std::string& path);

} // namespace potwatch::report
