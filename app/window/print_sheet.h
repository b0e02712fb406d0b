// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <QGraphicsScene>
#include <QSizeF>
#include <QString>

#include <functional>
#include <memory>

class QPrinter;

namespace potwatch::window {

// A page of the window as it stands on paper: words first and large, a picture as vectors (empty: none; drawn for the
// size that it is given), then text, over as many sheets as it takes.
struct Sheet {
    QString title;
    QString headline;
    std::function<std::unique_ptr<QGraphicsScene>(QSizeF)> picture;
    QString html;                  // below the picture
    double picture_height = 600.0; // at the most, of a sheet that is 794 wide
};

// Errors: storage (the printer cannot be written to).
[[nodiscard]] Result<void> printSheet(const Sheet& sheet, QPrinter& printer);

} // namespace potwatch::window
