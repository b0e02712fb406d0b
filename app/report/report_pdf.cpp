// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_pdf.h"

#include "app/report/drawing.h"
#include "app/report/page_flow.h"
#include "app/report/theme.h"

#include <QBuffer>
#include <QByteArray>
#include <QFontMetricsF>
#include <QPageSize>
#include <QPdfWriter>
#include <QTextLayout>
#include <QTextOption>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <variant>

namespace potwatch::report {
namespace {

// Page units are pixels at 96 dpi.
constexpr double page_width = 210.0 / 25.4 * 96.0;
constexpr double page_height = 297.0 / 25.4 * 96.0;
constexpr double margin = 15.0 / 25.4 * 96.0;
constexpr double foot_height = 34.0;
constexpr double text_width = page_width - 2.0 * margin;
constexpr double text_height = page_height - 2.0 * margin - foot_height;
constexpr double body = 12.0; // = 9 pt
constexpr double cell_gap = 12.0;
constexpr double row_padding = 2.4;

// Words broken to lines of a width.
class Lines {
public:
    Lines(const std::string& words, const QFont& font, double width)
        : layout_(std::make_shared<QTextLayout>(QString::fromStdString(words), font)) {
        QTextOption option;
        option.setWrapMode(QTextOption::WrapAtWordBoundaryOrAnywhere);
        layout_->setTextOption(option);
        layout_->beginLayout();
        const double leading = 0.18 * QFontMetricsF(font).height();
        for (QTextLine line = layout_->createLine(); line.isValid(); line = layout_->createLine()) {
            line.setLineWidth(width);
            line.setPosition(QPointF(0.0, height_));
            height_ += line.height() + leading;
        }
        layout_->endLayout();
    }
    [[nodiscard]] int count() const { return layout_->lineCount(); }
    [[nodiscard]] double height() const { return height_; }
    [[nodiscard]] double heightOfLine() const { return count() == 0 ? 0.0 : height_ / count(); }

    void paint(QPainter& painter, QPointF at) const { layout_->draw(&painter, at); }
    void paintLine(QPainter& painter, int line, QPointF at) const {
        const QTextLine one = layout_->lineAt(line);
        one.draw(&painter, at - QPointF(0.0, one.y()));
    }

private:
    std::shared_ptr<QTextLayout> layout_; // shared by the strips of its lines
    double height_ = 0.0;
};

// Widths of columns that want these: all they want if there is room (the last takes what is left), else the narrow ones
// theirs and the wide ones equal shares.
std::vector<double> shared(std::vector<double> wanted, double width) {
    const double sum = std::accumulate(wanted.begin(), wanted.end(), 0.0);
    if (wanted.empty()) {
        return wanted;
    }
    if (sum <= width) {
        // Room to breathe, but no more than that a row can still be followed.
        constexpr double most_extra = 40.0;
        const double extra = std::min(most_extra, (width - sum) / static_cast<double>(wanted.size()));
        for (double& w : wanted) {
            w += extra;
        }
        wanted.back() += width - std::accumulate(wanted.begin(), wanted.end(), 0.0);
        return wanted;
    }
    constexpr double least_name = 70.0;
    if (sum - wanted.front() + least_name <= width) {
        wanted.front() = width - (sum - wanted.front());
        return wanted;
    }
    std::vector<std::size_t> order(wanted.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
    double left = width;
    for (std::size_t i = 0; i < order.size(); ++i) {
        double& w = wanted[order[i]];
        w = std::min(w, left / static_cast<double>(order.size() - i));
        left -= w;
    }
    return wanted;
}

class Flow {
public:
    Flow(const std::vector<std::unique_ptr<QGraphicsScene>>& plots, QSizeF plot_page)
        : plots_(plots)
        , plot_page_(plot_page) {}

    void heading(const std::string& words, int level, bool on_new_page) {
        const double size = level == 1 ? 22.0 : (level == 2 ? 16.0 : 13.0);
        const Lines lines(words, drawingFont(size, true), text_width);
        Strip strip{.height = lines.height() + 4.0, .space_before = level == 2 ? 18.0 : 12.0};
        strip.keep_with_next = true;
        strip.on_new_page = on_new_page;
        strip.paint = [lines](QPainter& painter, double top) { lines.paint(painter, {0.0, top}); };
        strips_.push_back(std::move(strip));
    }

    void operator()(const Paragraph& paragraph) { words(paragraph.text, 0.0, 5.0); }

    void operator()(const BulletList& list) {
        for (const std::string& item : list.items) {
            words(item, 14.0, 3.0);
        }
    }

    void operator()(const Table& table) {
        constexpr std::size_t many_columns = 7;
        const double size = table.head.size() < many_columns ? body : body - 2.0;
        const QFont plain = drawingFont(size);
        const QFont bold = drawingFont(size, true);
        std::vector<double> wanted(table.head.size(), 0.0);
        const auto want = [&](const std::vector<std::string>& row, const QFont& font) {
            for (std::size_t i = 0; i < row.size(); ++i) {
                const double width =
                    std::ceil(QFontMetricsF(font).horizontalAdvance(QString::fromStdString(row[i]))) + 1.0;
                wanted[i] = std::max(wanted[i], width + cell_gap);
            }
        };
        want(table.head, bold);
        for (const auto& row : table.rows) {
            want(row, plain);
        }
        const std::vector<double> widths = shared(std::move(wanted), text_width);
        const int id = ++tables_;
        row(table.head, widths, bold, id, true);
        for (const auto& cells : table.rows) {
            row(cells, widths, plain, id, false);
        }
    }

    void operator()(const PlotPlace& plot) {
        if (plot.run >= plots_.size()) {
            return;
        }
        QGraphicsScene* const scene = plots_[plot.run].get();
        const QSizeF size = plot_page_ * (text_width / plot_page_.width());
        const QRectF source(QPointF(0.0, 0.0), plot_page_);
        Strip strip{.height = size.height(), .space_before = 4.0};
        strip.paint = [scene, size, source](QPainter& painter, double top) {
            scene->render(&painter, QRectF(QPointF(0.0, top), size), source);
        };
        strips_.push_back(std::move(strip));
    }

    void add(const std::vector<Block>& blocks) {
        for (const Block& block : blocks) {
            std::visit(*this, block);
        }
    }

    [[nodiscard]] const std::vector<Strip>& strips() const { return strips_; }

private:
    // A strip a line; neither the first nor the last line of a paragraph stands alone on a page.
    void words(const std::string& text, double indent, double space_before) {
        const Lines lines(text, drawingFont(body), text_width - indent);
        for (int i = 0; i < lines.count(); ++i) {
            Strip strip{.height = lines.heightOfLine(), .space_before = i == 0 ? space_before : 0.0};
            strip.keep_with_next = lines.count() > 1 && (i == 0 || i == lines.count() - 2);
            strip.paint = [lines, i, indent](QPainter& painter, double top) {
                if (i == 0 && indent > 0.0) {
                    painter.save();
                    painter.setBrush(painter.pen().color());
                    painter.setPen(Qt::NoPen);
                    painter.drawEllipse(QPointF(5.0, top + 0.42 * lines.heightOfLine()), 1.8, 1.8);
                    painter.restore();
                }
                lines.paintLine(painter, i, {indent, top});
            };
            strips_.push_back(std::move(strip));
        }
    }

    void row(const std::vector<std::string>& cells, const std::vector<double>& widths, const QFont& font, int table,
             bool head) {
        std::vector<std::pair<double, Lines>> laid;
        double x = 0.0;
        double height = 0.0;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            laid.emplace_back(x, Lines(cells[i], font, widths[i] - cell_gap));
            height = std::max(height, laid.back().second.height());
            x += widths[i];
        }
        height += 2.0 * row_padding;
        Strip strip{.height = height, .space_before = head ? 6.0 : 0.0};
        strip.keep_with_next = head;
        strip.table = table;
        strip.paint = [laid, height, head](QPainter& painter, double top) {
            for (const auto& cell : laid) {
                cell.second.paint(painter, {cell.first, top + row_padding});
            }
            painter.save();
            painter.setPen(QPen(head ? painter.pen().color() : QColor(200, 200, 200), head ? 1.0 : 0.6));
            painter.drawLine(QPointF(0.0, top + height), QPointF(text_width, top + height));
            painter.restore();
        };
        strips_.push_back(std::move(strip));
    }

    const std::vector<std::unique_ptr<QGraphicsScene>>& plots_;
    QSizeF plot_page_;
    std::vector<Strip> strips_;
    int tables_ = -1;
};

void paintFoot(QPainter& painter, const std::string& left, const std::string& right) {
    const QFont font = drawingFont(10.0);
    const double y = page_height - 2.0 * margin - foot_height + 20.0;
    painter.drawLine(QPointF(0.0, y - 6.0), QPointF(text_width, y - 6.0));
    const double room = text_width - 120.0;
    const QString cut = QFontMetricsF(font).elidedText(QString::fromStdString(left), Qt::ElideRight, room);
    Lines(cut.toStdString(), font, text_width).paint(painter, {0.0, y});
    const double width = QFontMetricsF(font).horizontalAdvance(QString::fromStdString(right));
    Lines(right, font, text_width).paint(painter, {text_width - width - 1.0, y});
}

} // namespace

bool paintReport(const ReportContent& report, const std::vector<std::unique_ptr<QGraphicsScene>>& plots,
                 QSizeF plot_page, QPagedPaintDevice& device, double dots_per_unit) {
    Flow flow(plots, plot_page);
    flow.heading(report.title, 1, false);
    flow.add(report.lead);
    for (const Section& section : report.sections) {
        flow.heading(section.heading, section.level, section.on_new_page);
        flow.add(section.blocks);
    }
    const auto pages = pagesOf(flow.strips(), text_height);

    QPainter painter(&device);
    if (!painter.isActive()) {
        return false;
    }
    painter.scale(dots_per_unit, dots_per_unit);
    painter.translate(margin, margin);
    const QPen ink(paperTheme().ink, 0.8);
    for (std::size_t i = 0; i < pages.size(); ++i) {
        if (i > 0) {
            device.newPage();
        }
        for (const PlacedStrip& placed : pages[i]) {
            painter.setPen(ink);
            flow.strips()[placed.strip].paint(painter, placed.top);
        }
        painter.setPen(ink);
        paintFoot(painter, fmt::format("{} \u00b7 {}", report.title, report.foot),
                  fmt::format("page {} of {}", i + 1, pages.size()));
    }
    return painter.end();
}

std::string reportPdf(const ReportContent& report, const std::vector<std::unique_ptr<QGraphicsScene>>& plots,
                      QSizeF plot_page) {
    constexpr int dots_per_inch = 1200;
    QByteArray bytes;
    QBuffer buffer(&bytes);
    buffer.open(QIODevice::WriteOnly);
    QPdfWriter writer(&buffer);
    writer.setPageSize(QPageSize(QPageSize::A4));
    writer.setPageMargins(QMarginsF());
    writer.setResolution(dots_per_inch);
    writer.setTitle(QString::fromStdString(report.title));
    writer.setCreator(QString::fromStdString(report.foot));
    if (!paintReport(report, plots, plot_page, writer, dots_per_inch / 96.0)) {
        return {};
    }
    return bytes.toStdString();
}

} // namespace potwatch::report
