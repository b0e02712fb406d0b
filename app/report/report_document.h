// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/page_flow.h"
#include "app/report/report_content.h"
#include "app/report/report_flow.h"
#include "app/report/report_pictures.h"

#include <QPagedPaintDevice>
#include <QPainter>

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::report {

// A report as it is drawn: the one source of its pages, on paper and on the screen, and of its web page. No table row,
// plot or list item is torn by a page's end, a heading stays with what follows, a table that runs on repeats its head.
// It is made in steps, so that a window can look after itself in between.
// Assumes: prepareDrawing() went well. Threads: the window's (Qt draws scenes there alone).
class ReportDocument {
public:
    ReportDocument(std::vector<session::ReportRun> runs, session::ReportWish wish);
    ReportDocument(const ReportDocument&) = delete;
    ReportDocument& operator=(const ReportDocument&) = delete;

    // Does the next step: the pictures of a run, the comparison, the lines of a section, the pages. False once there is
    // none left.
    bool make();
    [[nodiscard]] double fractionMade() const; // in [0, 1]

    // What follows holds once it is made.
    [[nodiscard]] int pageCount() const { return static_cast<int>(pages_.size()); }
    // Paints an A4 page from the origin, in page units (1/96 inch).
    void paintPage(QPainter& painter, int page) const;
    [[nodiscard]] const ReportContent& content() const { return content_; }

    // Draws the next plot for the web page; false once there is none left.
    bool makeSvg();
    [[nodiscard]] std::string html(); // draws what is still left

private:
    void makeRun(std::size_t run);
    void makeContent();
    [[nodiscard]] std::optional<session::Comparison> comparison() const;

    std::vector<session::ReportRun> runs_;
    session::ReportWish wish_;
    std::vector<std::string> names_;
    std::vector<compare::ComparedRun> compared_; // those that are no blanks
    std::size_t runs_made_ = 0;
    bool has_content_ = false;
    ReportContent content_;
    ReportPictures pictures_;
    ReportFlow flow_{pictures_};
    std::size_t sections_laid_ = 0;
    std::vector<std::vector<PlacedStrip>> pages_;
    std::vector<std::string> svgs_;
};

// A document going onto paper or into a PDF, page by page; an A4 page unit is so many dots of the device.
class ReportPainting {
public:
    ReportPainting(const ReportDocument& document, QPagedPaintDevice& device, double dots_per_unit);

    // Paints the next page; false once there is none left, or where the device does not take it.
    bool paintNext();
    // Ends the job: whether the device took all of it.
    [[nodiscard]] bool end();

    [[nodiscard]] int pagesPainted() const { return next_; }

private:
    const ReportDocument& document_;
    QPagedPaintDevice& device_;
    double dots_per_unit_;
    QPainter painter_;
    int next_ = 0;
    bool took_all_ = true;
};

// Dots of the device to a page unit, so that an A4 page fits its paper.
[[nodiscard]] double dotsPerUnit(const QPagedPaintDevice& device);

} // namespace potwatch::report
