// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_document.h"

#include "app/report/picture.h"
#include "app/report/report_html.h"
#include "app/report/theme.h"

#include <QByteArray>
#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace potwatch::report {

using session::ReportSection;

ReportDocument::ReportDocument(std::vector<session::ReportRun> runs, session::ReportWish wish)
    : runs_(std::move(runs))
    , wish_(std::move(wish))
    , content_(reportContent(runs_, wish_)) {}

bool ReportDocument::make() {
    if (const std::size_t drawn = pictures_.plots.size(); drawn < runs_.size()) {
        addPictures(pictures_, runs_[drawn], wish_.has(ReportSection::trace), wish_.has(ReportSection::photos));
        return true;
    }
    if (flow_.strips().empty()) {
        flow_.title(content_);
    }
    if (sections_laid_ < content_.sections.size()) {
        flow_.section(content_.sections[sections_laid_++]);
        return true;
    }
    if (!pages_.empty()) {
        return false;
    }
    pages_ = pagesOf(flow_.strips(), report_text_height);
    return true;
}

double ReportDocument::fractionMade() const {
    // A plot takes far longer than the lines of a section.
    constexpr double sections_to_a_plot = 20.0;
    const double plots = static_cast<double>(runs_.size()) * sections_to_a_plot;
    const double all = plots + static_cast<double>(content_.sections.size()) + 1.0;
    const double done = static_cast<double>(pictures_.plots.size()) * sections_to_a_plot +
                        static_cast<double>(sections_laid_) + (pages_.empty() ? 0.0 : 1.0);
    return std::min(1.0, done / all);
}

void ReportDocument::paintPage(QPainter& painter, int page) const {
    const QPen ink(paperTheme().ink, 0.8);
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.translate(report_margin, report_margin);
    for (const PlacedStrip& placed : pages_.at(static_cast<std::size_t>(page))) {
        painter.setPen(ink);
        flow_.strips()[placed.strip].paint(painter, placed.top);
    }
    painter.setPen(ink);
    paintReportFoot(painter, fmt::format("{} \u00b7 {}", content_.title, content_.foot),
                    fmt::format("page {} of {}", page + 1, pages_.size()));
    painter.restore();
}

bool ReportDocument::makeSvg() {
    const std::size_t next = svgs_.size();
    if (next == pictures_.plots.size()) {
        return false;
    }
    const Drawing& drawing = pictures_.plots[next];
    svgs_.push_back(drawing.scene ? svgOf(*drawing.scene, drawing.size, content_.title) : std::string());
    return true;
}

std::string ReportDocument::html() {
    while (makeSvg()) {
    }
    std::vector<std::vector<std::string>> jpegs;
    for (const std::vector<QImage>& photos : pictures_.photos) {
        std::vector<std::string>& of_run = jpegs.emplace_back();
        for (const QImage& photo : photos) {
            of_run.push_back(QByteArray::fromStdString(jpegOf(photo)).toBase64().toStdString());
        }
    }
    return htmlOf(content_, {.svgs = svgs_, .jpegs = jpegs});
}

ReportPainting::ReportPainting(const ReportDocument& document, QPagedPaintDevice& device, double dots_per_unit)
    : document_(document)
    , device_(device)
    , dots_per_unit_(dots_per_unit) {
    took_all_ = painter_.begin(&device_);
}

bool ReportPainting::paintNext() {
    if (!took_all_ || next_ == document_.pageCount()) {
        return false;
    }
    if (next_ > 0 && !device_.newPage()) {
        took_all_ = false;
        return false;
    }
    painter_.save();
    painter_.scale(dots_per_unit_, dots_per_unit_);
    document_.paintPage(painter_, next_);
    painter_.restore();
    ++next_;
    return true;
}

bool ReportPainting::end() {
    const bool ended = painter_.isActive() && painter_.end();
    return took_all_ && ended && next_ == document_.pageCount();
}

double dotsPerUnit(const QPagedPaintDevice& device) {
    return std::min(device.width() / report_page_width, device.height() / report_page_height);
}

} // namespace potwatch::report
