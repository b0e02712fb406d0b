// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/page_flow.h"
#include "app/report/report_content.h"
#include "app/report/report_pictures.h"

#include <QFont>
#include <QPainter>

#include <string>
#include <vector>

namespace potwatch::report {

// Page units are pixels at 96 dpi; a page is A4.
inline constexpr double report_page_width = 210.0 / 25.4 * 96.0;
inline constexpr double report_page_height = 297.0 / 25.4 * 96.0;
inline constexpr double report_margin = 15.0 / 25.4 * 96.0;
inline constexpr double report_foot_height = 34.0;
inline constexpr double report_text_width = report_page_width - 2.0 * report_margin;
inline constexpr double report_text_height = report_page_height - 2.0 * report_margin - report_foot_height;

// Lays a report's content out as strips: lines of text, rows of tables, plots, photos.
// Assumes: the pictures outlive the strips, and prepareDrawing() went well.
class ReportFlow {
public:
    explicit ReportFlow(const ReportPictures& pictures)
        : pictures_(pictures) {}

    void title(const ReportContent& report); // with its lead
    void section(const Section& section);

    [[nodiscard]] const std::vector<Strip>& strips() const { return strips_; }

    // For std::visit.
    void operator()(const Paragraph& paragraph);
    void operator()(const BulletList& list);
    void operator()(const Table& table);
    void operator()(const PlotPlace& plot);
    void operator()(const PhotoRow& row);

private:
    void heading(const std::string& words, int level, bool on_new_page);
    // With a dot before it where it is indented.
    void words(const std::string& text, const QFont& font, double indent, double space_before);
    void row(const std::vector<std::string>& cells, const std::vector<double>& widths, const QFont& font, int table,
             bool head);
    void add(const std::vector<Block>& blocks);

    const ReportPictures& pictures_;
    std::vector<Strip> strips_;
    int tables_ = -1;
};

// What stands at the foot of each page.
void paintReportFoot(QPainter& painter, const std::string& left, const std::string& right);

} // namespace potwatch::report
