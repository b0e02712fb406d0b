// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/plot_scene.h"

#include "app/report/plot_picture.h"

namespace potwatch::report {

std::unique_ptr<QGraphicsScene> plotScene(const PlotContent& content, QSizeF page, const Theme& theme) {
    PlotPicture picture(content, theme);
    picture.layOut(PlotPage{.size = page}, fittedView(content), {});
    return picture.release();
}

} // namespace potwatch::report
