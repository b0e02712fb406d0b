// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/plot_content.h"
#include "app/report/theme.h"

#include <QGraphicsScene>
#include <QSizeF>

#include <memory>

namespace potwatch::report {

// Page units are pixels at 96 dpi.
inline constexpr QSizeF plot_page{1100.0, 820.0};

// The plot laid out and ready to be painted: frames, axes and grid by Qt Charts, a PaneItem a pane, the rest by Sheet.
// Render QRectF({0, 0}, page); the scene's own rectangle may be larger.
// Assumes: prepareDrawing() went well; the content (and the analysis behind it) outlives the scene.
[[nodiscard]] std::unique_ptr<QGraphicsScene> plotScene(const PlotContent& content, QSizeF page = plot_page,
                                                        const Theme& theme = paperTheme());

} // namespace potwatch::report
