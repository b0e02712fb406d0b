// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/report_flow.h"

#include "app/report/drawing.h"

#include <QFontMetricsF>
#include <QGraphicsScene>
#include <QImage>
#include <QTextLayout>
#include <QTextOption>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>
#include <utility>
#include <variant>

namespace potwatch::report {
namespace {

constexpr double body = 12.0; // = 9 pt
constexpr double cell_gap = 12.0;
constexpr double row_padding = 1.5;

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

double widthOf(const QString& words, const QFont& font) {
    return std::ceil(QFontMetricsF(font).horizontalAdvance(words)) + 1.0;
}

bool endsInAFigure(const QString& piece) {
    const QString bare = piece.endsWith(u')') ? piece.chopped(1) : piece;
    return !bare.isEmpty() && bare.back().isDigit();
}

// The pieces of a cell that stay on one line: a figure with its unit, the sign ± with what follows it.
QStringList piecesOf(const QString& cell) {
    QStringList pieces;
    for (const QString& word : cell.split(u' ', Qt::SkipEmptyParts)) {
        const bool is_unit = !pieces.isEmpty() && endsInAFigure(pieces.back()) && !word.front().isDigit() &&
                             word.front() != u'(' && word.front() != u'\u00b1' && word != u"to";
        if (is_unit || (!pieces.isEmpty() && pieces.back() == u"\u00b1")) {
            pieces.back() += u' ' + word;
        } else {
            pieces += word;
        }
    }
    return pieces;
}

// The cell with its pieces put on lines of that width.
std::string brokenInPieces(const std::string& cell, const QFont& font, double width) {
    QString text;
    QString line;
    for (const QString& piece : piecesOf(QString::fromStdString(cell))) {
        const QString longer = line.isEmpty() ? piece : line + u' ' + piece;
        if (line.isEmpty() || widthOf(longer, font) <= width) {
            line = longer;
        } else {
            text += line + QChar::LineSeparator;
            line = piece;
        }
    }
    return (text + line).toStdString();
}

// What a column wants for its cells to stand on one line each, and what it needs for their pieces.
struct ColumnWidth {
    double wanted = 0.0;
    double least = 0.0;
};

// Widths of columns: all they want if there is room (the last takes what is left), else the names in the first column
// are broken, else the widest are narrowed to one width, as far as their pieces let them.
std::vector<double> shared(const std::vector<ColumnWidth>& columns, double width) {
    std::vector<double> wanted;
    for (const ColumnWidth& column : columns) {
        wanted.push_back(column.wanted);
    }
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
    const auto narrowed = [&](double most) {
        std::vector<double> widths;
        for (const ColumnWidth& column : columns) {
            widths.push_back(std::min(column.wanted, std::max(column.least, most)));
        }
        return widths;
    };
    double low = width / static_cast<double>(columns.size());
    double high = width;
    constexpr int halvings = 30;
    for (int i = 0; i < halvings; ++i) {
        const double most = 0.5 * (low + high);
        const std::vector<double> widths = narrowed(most);
        (std::accumulate(widths.begin(), widths.end(), 0.0) <= width ? low : high) = most;
    }
    wanted = narrowed(low);
    // Pieces that are too long all the same are broken anywhere.
    const double sum_narrowed = std::accumulate(wanted.begin(), wanted.end(), 0.0);
    for (double& w : wanted) {
        w *= std::min(1.0, width / sum_narrowed);
    }
    return wanted;
}

} // namespace

void ReportFlow::title(const ReportContent& report) {
    heading(report.title, 1, false);
    add(report.lead);
}

void ReportFlow::section(const Section& section) {
    heading(section.heading, section.level, section.on_new_page);
    add(section.blocks);
}

void ReportFlow::heading(const std::string& words, int level, bool on_new_page) {
    const double size = level == 1 ? 22.0 : (level == 2 ? 16.0 : 13.0);
    const Lines lines(words, drawingFont(size, true), report_text_width);
    Strip strip{.height = lines.height() + 4.0, .space_before = level == 2 ? 18.0 : 12.0};
    strip.keep_with_next = true;
    strip.on_new_page = on_new_page;
    strip.paint = [lines](QPainter& painter, double top) { lines.paint(painter, {0.0, top}); };
    strips_.push_back(std::move(strip));
}

void ReportFlow::operator()(const Paragraph& paragraph) {
    words(paragraph.text, drawingFont(body, paragraph.strong), 0.0, 5.0);
}

void ReportFlow::operator()(const BulletList& list) {
    for (const std::string& item : list.items) {
        words(item, drawingFont(body), 14.0, 3.0);
    }
}

void ReportFlow::operator()(const Table& table) {
    constexpr std::size_t many_columns = 7;
    const double size = table.head.size() < many_columns ? body : body - 2.0;
    const QFont plain = drawingFont(size);
    const QFont bold = drawingFont(size, true);
    std::vector<ColumnWidth> columns(table.head.size());
    const auto want = [&](const std::vector<std::string>& row, const QFont& font) {
        for (std::size_t i = 0; i < row.size(); ++i) {
            const QString cell = QString::fromStdString(row[i]);
            columns[i].wanted = std::max(columns[i].wanted, widthOf(cell, font) + cell_gap);
            for (const QString& piece : piecesOf(cell)) {
                columns[i].least = std::max(columns[i].least, widthOf(piece, font) + cell_gap);
            }
        }
    };
    want(table.head, bold);
    for (const auto& row : table.rows) {
        want(row, plain);
    }
    const std::vector<double> widths = shared(columns, report_text_width);
    const int id = ++tables_;
    row(table.head, widths, bold, id, true);
    // Neither the first two nor the last row of a table stands alone on a page.
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        row(table.rows[i], widths, plain, id, false);
        strips_.back().keep_with_next = i + 1 < table.rows.size() && (i < 2 || i + 2 == table.rows.size());
    }
}

void ReportFlow::operator()(const PlotPlace& plot) {
    if (plot.drawing >= pictures_.plots.size() || !pictures_.plots[plot.drawing].scene) {
        return;
    }
    const Drawing& drawing = pictures_.plots[plot.drawing];
    QGraphicsScene* const scene = drawing.scene.get();
    const QRectF source(QPointF(0.0, 0.0), drawing.size);
    const QSizeF size = drawing.size * (report_text_width / drawing.size.width());
    Strip strip{.height = size.height(), .space_before = 4.0};
    strip.paint = [scene, size, source](QPainter& painter, double top) {
        scene->render(&painter, QRectF(QPointF(0.0, top), size), source);
    };
    strip.keep_with_next = !plot.caption.empty();
    strips_.push_back(std::move(strip));
    if (!plot.caption.empty()) {
        words(plot.caption, drawingFont(body - 2.0), 0.0, 2.0);
    }
}

void ReportFlow::operator()(const PhotoRow& row) {
    constexpr double gap = 16.0;
    constexpr double most_height = 320.0;
    const double share = row.photos.size() > 1 ? (report_text_width - gap) / 2.0 : 0.7 * report_text_width;
    struct Cell {
        const QImage* image;
        QRectF place; // from the strip's top
        Lines caption;
    };
    std::vector<Cell> cells;
    double height = 0.0;
    for (std::size_t i = 0; i < row.photos.size(); ++i) {
        const PhotoPlace& photo = row.photos[i];
        const QImage& image = pictures_.photos.at(photo.run).at(photo.photo);
        // What cannot be shown is named, so that nobody looks for it.
        const std::string words = image.isNull() ? photo.caption + ": this picture cannot be shown" : photo.caption;
        QSizeF size(image.size());
        if (!image.isNull()) {
            size.scale(QSizeF(share, most_height), Qt::KeepAspectRatio);
        }
        cells.push_back({.image = &image,
                         .place = {QPointF(static_cast<double>(i) * (share + gap), 0.0), size},
                         .caption = Lines(words, drawingFont(body - 2.0), share)});
        height = std::max(height, size.height() + 4.0 + cells.back().caption.height());
    }
    Strip strip{.height = height, .space_before = 8.0};
    strip.paint = [cells](QPainter& painter, double top) {
        painter.setRenderHint(QPainter::SmoothPixmapTransform);
        for (const Cell& cell : cells) {
            if (!cell.image->isNull()) {
                painter.drawImage(cell.place.translated(0.0, top), *cell.image);
            }
            cell.caption.paint(painter, {cell.place.left(), top + cell.place.height() + 4.0});
        }
    };
    strips_.push_back(std::move(strip));
}

void ReportFlow::add(const std::vector<Block>& blocks) {
    for (const Block& block : blocks) {
        std::visit(*this, block);
    }
}

// A strip a line; neither the first nor the last line of a paragraph stands alone on a page.
void ReportFlow::words(const std::string& text, const QFont& font, double indent, double space_before) {
    const Lines lines(text, font, report_text_width - indent);
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

void ReportFlow::row(const std::vector<std::string>& cells, const std::vector<double>& widths, const QFont& font,
                     int table, bool head) {
    std::vector<std::pair<double, Lines>> laid;
    double x = 0.0;
    double height = 0.0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const double width = widths[i] - cell_gap;
        laid.emplace_back(x, Lines(brokenInPieces(cells[i], font, width), font, width));
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
        painter.drawLine(QPointF(0.0, top + height), QPointF(report_text_width, top + height));
        painter.restore();
    };
    strips_.push_back(std::move(strip));
}

void paintReportFoot(QPainter& painter, const std::string& left, const std::string& right) {
    const QFont font = drawingFont(10.0);
    const double y = report_text_height + 20.0;
    painter.drawLine(QPointF(0.0, y - 6.0), QPointF(report_text_width, y - 6.0));
    const double room = report_text_width - 120.0;
    const QString cut = QFontMetricsF(font).elidedText(QString::fromStdString(left), Qt::ElideRight, room);
    Lines(cut.toStdString(), font, report_text_width).paint(painter, {0.0, y});
    const double width = QFontMetricsF(font).horizontalAdvance(QString::fromStdString(right));
    Lines(right, font, report_text_width).paint(painter, {report_text_width - width - 1.0, y});
}

} // namespace potwatch::report
