// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_document.h"

#include "app/report/picture.h"
#include "app/report/report_html.h"
#include "app/report/report_parts.h"
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
    , names_(namesOf(runs_)) {}

bool ReportDocument::make() {
    if (runs_made_ < runs_.size()) {
        makeRun(runs_made_++);
        return true;
    }
    if (!has_content_) {
        makeContent();
        has_content_ = true;
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

void ReportDocument::makeRun(std::size_t run) {
    const session::ReportRun& of = runs_[run];
    addPictures(pictures_, of, wish_.has(ReportSection::trace), wish_.has(ReportSection::photos));
    if (wish_.has(ReportSection::comparison) && !of.batch.blank) {
        compared_.push_back(session::comparedRunOf(of.batch, *of.analysis));
        compared_.back().name = names_[run];
    }
}

std::optional<session::Comparison> ReportDocument::comparison() const {
    if (compared_.size() < 2) {
        return std::nullopt;
    }
    Result<session::Comparison> made = session::compareRuns(compared_, {.limit = wish_.limit_c});
    if (made && !isAnyAligned(*made)) { // nothing was dosed
        made = session::compareRuns(compared_, {.limit = wish_.limit_c, .align = compare::Align::start});
    }
    if (!made) {
        return std::nullopt;
    }
    for (std::size_t i = 0; i < runs_.size(); ++i) {
        if (runs_[i].batch.blank) {
            made->warnings.push_back(session::blankIsNotCompared(names_[i]));
        }
    }
    return *std::move(made);
}

void ReportDocument::makeContent() {
    const std::optional<session::Comparison> made = comparison();
    if (made) {
        addComparison(pictures_, {.comparison = *made, .runs = compared_});
    }
    content_ = reportContent(runs_, wish_, made ? &*made : nullptr);
}

double ReportDocument::fractionMade() const {
    // A plot takes far longer than the lines of a section.
    constexpr double sections_to_a_plot = 20.0;
    const double plots = static_cast<double>(runs_.size()) * sections_to_a_plot;
    // Until they are known, as many as there can be, so that it never goes back.
    const std::size_t sections =
        has_content_ ? content_.sections.size() : (runs_.size() + 1) * (wish_.sections.size() + 1);
    const double all = plots + static_cast<double>(sections) + 1.0;
    const double done = static_cast<double>(runs_made_) * sections_to_a_plot + static_cast<double>(sections_laid_) +
                        (pages_.empty() ? 0.0 : 1.0);
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
