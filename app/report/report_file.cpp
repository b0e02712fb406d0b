// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/picture.h"
#include "app/report/plot.h"
#include "app/report/plot_content.h"
#include "app/report/plot_scene.h"
#include "app/report/report_content.h"
#include "app/report/report_html.h"
#include "app/report/report_pdf.h"
#include "app/session/whole_file.h"

#include <QGraphicsScene>
#include <QSizeF>

#include <memory>
#include <string>
#include <vector>

namespace potwatch::report {

Result<void> writeReport(std::span<const Analysis> analyses, const std::string& path) {
    // Narrower than a plot alone, so that its words are still read easily on an A4 page.
    constexpr QSizeF page(860.0, 700.0);
    const bool pdf = hasEnding(path, ".pdf");
    if (!pdf && !hasEnding(path, ".html") && !hasEnding(path, ".htm")) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "a report is written as .pdf or .html",
                                    .where = {.file = path},
                                    .remedy = "give the file one of these endings"});
    }
    if (auto ready = prepareDrawing(); !ready) {
        return ready;
    }
    const ReportContent content = reportContent(analyses);
    std::vector<PlotContent> plots; // the scenes look into these: filled first
    for (const Analysis& analysis : analyses) {
        plots.push_back(plotContent(analysis));
        plots.back().title.clear(); // the section's heading says it
    }
    std::vector<std::unique_ptr<QGraphicsScene>> scenes;
    for (const PlotContent& plot : plots) {
        scenes.push_back(plotScene(plot, page));
    }
    if (pdf) {
        const std::string bytes = reportPdf(content, scenes, page);
        return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
    }
    std::vector<std::string> svgs;
    for (std::size_t i = 0; i < scenes.size(); ++i) {
        svgs.push_back(svgOf(*scenes[i], page, content.title));
    }
    return session::writeWholeFile(path, htmlOf(content, svgs));
}

} // namespace potwatch::report
