// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/drawing.h"
#include "app/report/file_ending.h"
#include "app/report/picture.h"
#include "app/report/plot.h"
#include "app/report/report_document.h"
#include "app/report/report_pdf.h"
#include "app/report/report_print.h"
#include "app/session/whole_file.h"

#include <string>
#include <utility>

namespace potwatch::report {

Fault printerRefuses() {
    return {.kind = FaultKind::device,
            .what = "the printer does not take the pages",
            .remedy = "look whether it is switched on and has paper"};
}

Result<void> printReport(std::vector<session::ReportRun> runs, const session::ReportWish& wish,
                         QPagedPaintDevice& device) {
    if (auto ready = prepareDrawing(); !ready) {
        return ready;
    }
    ReportDocument document(std::move(runs), wish);
    while (document.make()) {
    }
    ReportPainting painting(document, device, dotsPerUnit(device));
    while (painting.paintNext()) {
    }
    return painting.end() ? Result<void>() : tl::unexpected(printerRefuses());
}

Result<void> writeReport(std::vector<session::ReportRun> runs, const session::ReportWish& wish, const std::string& path,
                         const Progress& progress) {
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
    ReportDocument document(std::move(runs), wish);
    while (document.make()) {
        if (progress) {
            progress(document.fractionMade(), "drawing the report");
        }
    }
    if (!pdf) {
        return session::writeWholeFile(path, document.html());
    }
    ReportPdf file(document);
    while (file.paintNext()) {
    }
    const std::string bytes = file.bytes();
    return bytes.empty() ? tl::unexpected(cannotDraw(path)) : session::writeWholeFile(path, bytes);
}

} // namespace potwatch::report
