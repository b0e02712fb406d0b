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
#include "app/report/report_print.h"
#include "app/session/whole_file.h"

#include <QGraphicsScene>
#include <QSizeF>

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

namespace potwatch::report {

namespace {

// Narrower than a plot alone, so that its words are still read easily on an A4 page.
constexpr QSizeF page(860.0, 700.0);

// The plots of a report; their scenes look into their contents.
struct ReportPlots {
    std::vector<PlotContent> contents;
    std::vector<std::unique_ptr<QGraphicsScene>> scenes;

    explicit ReportPlots(std::span<const Analysis> analyses) {
        for (const Analysis& analysis : analyses) {
            contents.push_back(plotContent(analysis));
            contents.back().title.clear(); // the section's heading says it
        }
        for (const PlotContent& content : contents) {
            scenes.push_back(plotScene(content, page));
        }
    }
};

} // namespace

Result<void> printReport(std::span<const Analysis> analyses, QPagedPaintDevice& device) {
    if (auto ready = prepareDrawing(); !ready) {
        return ready;
    }
    const ReportPlots plots(analyses);
    const double fits = std::min(device.width() / report_page_width, device.height() / report_page_height);
    if (!paintReport(reportContent(analyses), plots.scenes, page, device, fits)) {
        return tl::unexpected(Fault{.kind = FaultKind::device,
                                    .what = "the printer does not take the pages",
                                    .remedy = "look whether it is switched on and has paper"});
    }
    return {};
}

Result<void> writeReport(std::span<const Analysis> analyses, const std::string& path) {
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
    const ReportPlots plots(analyses);
    if (pdf) {
        const std::string bytes = reportPdf(content, plots.scenes, page);
        return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
    }
    std::vector<std::string> svgs;
    for (std::size_t i = 0; i < plots.scenes.size(); ++i) {
        svgs.push_back(svgOf(*plots.scenes[i], page, content.title));
    }
    return session::writeWholeFile(path, htmlOf(content, svgs));
}

} // namespace potwatch::report
