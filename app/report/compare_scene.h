// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/compare_plot.h"
#include "app/report/theme.h"

#include <QGraphicsScene>
#include <QSizeF>

#include <memory>

namespace potwatch::report {

// The picture of writeComparePlot at any size. Assumes: there is an application that draws (prepareDrawing).
[[nodiscard]] std::unique_ptr<QGraphicsScene> compareScene(const ComparePicture& picture, const Theme& theme,
                                                           QSizeF size);

} // namespace potwatch::report
