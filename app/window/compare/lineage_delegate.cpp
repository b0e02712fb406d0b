// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/lineage_delegate.h"

#include "app/format/text.h"
#include "app/report/theme.h"
#include "app/window/compare/lineage_model.h"
#include "app/window/look.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

constexpr int deepest = 6;
constexpr int widest = 30;           // letters of a line; what is longer goes on below it
constexpr std::size_t longest = 160; // letters of a cell; what is longer is cut, and whole in its tip

// The peak before and now on the scale of all peaks; open where it is a lower bound.
void drawPeaks(QPainter& painter, const QRectF& place, const session::FigureChange& peak, const LineageModel& model,
               const report::Theme& theme, const QColor& rule) {
    const double width = model.highestPeak() - model.lowestPeak();
    if (!peak.now || !(width > 0.0)) {
        return;
    }
    const auto at = [&](double value) { return place.left() + (value - model.lowestPeak()) / width * place.width(); };
    const double y = place.center().y();
    painter.setRenderHint(QPainter::Antialiasing);
    painter.setPen(QPen(rule, 1.0));
    painter.drawLine(QPointF(place.left(), y), QPointF(place.right(), y));
    const auto dot = [&](double value, bool at_least, double size, const QColor& colour) {
        painter.setPen(QPen(colour, 1.5));
        painter.setBrush(at_least ? Qt::NoBrush : QBrush(colour));
        painter.drawEllipse(QPointF(at(value), y), size, size);
    };
    if (peak.before) {
        const double from = at(peak.before->value);
        const double to = at(peak.now->value);
        painter.setPen(QPen(theme.plateau, 2.2));
        if (std::abs(to - from) > 12.0) {
            const double direction = to > from ? 1.0 : -1.0;
            const double tip = to - 5.0 * direction;
            painter.drawLine(QPointF(from, y), QPointF(tip - 2.0 * direction, y));
            QPainterPath head(QPointF(tip, y));
            head.lineTo(tip - 8.0 * direction, y - 4.5);
            head.lineTo(tip - 8.0 * direction, y + 4.5);
            head.closeSubpath();
            painter.fillPath(head, theme.plateau);
        }
        dot(peak.before->value, peak.before_at_least, 3.0, theme.reading);
    }
    // The interval of the peak now.
    painter.setPen(QPen(theme.ink, 1.2));
    painter.drawLine(QPointF(at(peak.now->low), y), QPointF(at(peak.now->high), y));
    dot(peak.now->value, peak.now_at_least, 4.0, theme.ink);
}

// Of the first line of a cell.
QFont fontOf(const QStyleOptionViewItem& option, int column) {
    QFont font = option.font;
    font.setWeight(column == LineageModel::change_column || column == LineageModel::run_column ? QFont::DemiBold
                                                                                               : QFont::Normal);
    return font;
}

// Of a peak's column, what its drawing takes.
int widthOfPeaks(int width, int line) {
    return std::max(std::min(width * 2 / 5, width - line * 9), width - line * 18);
}

QString shortened(const QString& words) {
    return QString::fromStdString(format::shortened(words.toStdString(), longest));
}

int heightOf(const QString& words, const QFont& font, int width) {
    return words.isEmpty() ? 0 : QFontMetrics(font).boundingRect(0, 0, width, 0, Qt::TextWordWrap, words).height();
}

} // namespace

LineageDelegate::LineageDelegate(const LineageModel& model, QObject* parent)
    : QStyledItemDelegate(parent)
    , model_(model) {}

QSize LineageDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const int line = option.fontMetrics.height();
    const int words = std::max(QFontMetrics(fontOf(option, index.column())).horizontalAdvance(index.data().toString()),
                               option.fontMetrics.horizontalAdvance(index.data(LineageModel::noteRole).toString()));
    const int most = option.fontMetrics.averageCharWidth() * widest;
    int width = std::min(words, most) + 2 * line;
    if (index.column() == LineageModel::run_column) {
        width += (1 + std::min(model_.rails(index.row()).level, deepest)) * line;
    }
    const int inner = placeOfWords(option, index).width();
    int height = 0;
    if (inner > 0) { // the column's width is known
        height = heightOf(shortened(index.data().toString()), fontOf(option, index.column()), inner) +
                 heightOf(shortened(index.data(LineageModel::noteRole).toString()), option.font, inner) + line;
    }
    return {width, std::max(line * 3, height)};
}

QRect LineageDelegate::placeOfWords(const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const int line = option.fontMetrics.height();
    QRect words = option.rect.adjusted(line / 2, line / 3, -line / 2, -line / 3);
    if (index.column() == LineageModel::run_column) {
        words.setLeft(words.left() + line * (3 + 2 * std::min(model_.rails(index.row()).level, deepest)) / 2);
    } else if (index.column() == LineageModel::peak_column) {
        words.setLeft(words.left() + widthOfPeaks(words.width(), line) + line / 2);
    }
    return words;
}

void LineageDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const QPalette& palette = option.palette;
    const report::Theme theme = isDark(palette) ? report::darkTheme() : report::paperTheme();
    const int line = option.fontMetrics.height();
    painter->save();
    painter->setClipRect(option.rect);
    QColor ground = palette.color(QPalette::Base);
    const QColor ink = palette.color(QPalette::Text);
    if (option.state.testFlag(QStyle::State_Selected)) {
        ground = mixed(ground, palette.color(QPalette::Highlight), isDark(palette) ? 0.45 : 0.18);
    }
    painter->fillRect(option.rect, ground);
    painter->setPen(hairline(palette));
    painter->drawLine(option.rect.bottomLeft(), option.rect.bottomRight());
    const QRect inner = option.rect.adjusted(line / 2, line / 3, -line / 2, -line / 3);
    if (index.column() == LineageModel::run_column) {
        // The lines of its family, and this run's place on them.
        const LineageModel::Rails& rails = model_.rails(index.row());
        const auto at = [&](int level) { return inner.left() + line * (0.5 + std::min(level, deepest)); };
        const double x = at(rails.level);
        const double y = option.rect.center().y();
        painter->setRenderHint(QPainter::Antialiasing);
        painter->setPen(QPen(theme.frame, 2.0));
        for (const int level : rails.through) {
            painter->drawLine(QPointF(at(level), option.rect.top()), QPointF(at(level), option.rect.bottom() + 1));
        }
        if (rails.from) {
            painter->drawLine(QPointF(at(*rails.from), option.rect.top()), QPointF(at(*rails.from), y));
            painter->drawLine(QPointF(at(*rails.from), y), QPointF(x, y));
        }
        if (rails.goes_on) {
            painter->drawLine(QPointF(x, y), QPointF(x, option.rect.bottom() + 1));
        }
        painter->setBrush(ink);
        painter->setPen(QPen(ground, 2.0));
        painter->drawEllipse(QPointF(x, y), 0.36 * line, 0.36 * line);
    }
    if (index.column() == LineageModel::peak_column) {
        const int wide = widthOfPeaks(inner.width(), line);
        const session::LineageLine& of = model_.lines()[static_cast<std::size_t>(index.row())];
        drawPeaks(*painter, QRectF(inner.left() + 6, inner.top(), wide - 12, inner.height()), of.peak_c, model_, theme,
                  hairline(palette));
    }
    const QRect words = placeOfWords(option, index);
    const QString first = shortened(index.data().toString());
    const QString note = shortened(index.data(LineageModel::noteRole).toString());
    const QFont strong = fontOf(option, index.column());
    const int first_height = heightOf(first, strong, words.width());
    const int note_height = heightOf(note, option.font, words.width());
    const int top = words.top() + std::max(0, words.height() - first_height - note_height) / 2;
    painter->setFont(strong);
    painter->setPen(ink);
    painter->drawText(QRect(words.left(), top, words.width(), first_height), Qt::TextWordWrap, first);
    if (!note.isEmpty()) {
        painter->setFont(option.font);
        painter->setPen(option.state.testFlag(QStyle::State_Selected) ? ink : quietText(palette));
        painter->drawText(QRect(words.left(), top + first_height, words.width(), note_height), Qt::TextWordWrap, note);
    }
    painter->restore();
}

} // namespace potwatch::window
