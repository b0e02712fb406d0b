// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/compare_plot.h"

#include "app/report/compare_scene.h"
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/picture.h"
#include "app/report/theme.h"
#include "app/session/whole_file.h"

#include <QGraphicsScene>

#include <memory>

namespace potwatch::report {

Result<void> writeComparePlot(const ComparePicture& picture, const std::string& path) {
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
    const QSizeF page(1080.0, 1080.0);
    const std::unique_ptr<QGraphicsScene> scene = compareScene(picture, paperTheme(), page);
    const std::string title = "comparison of runs";
    std::string bytes;
    if (svg) {
        bytes = svgOf(*scene, page, title);
    } else {
        bytes = pdf ? pdfOf(*scene, page, title) : pngOf(imageOf(*scene, page, (page * 2.0).toSize()));
    }
    return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
}

} // namespace potwatch::report
