// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/book/book_delegate.h"

#include "app/window/book/book_model.h"
#include "app/window/icons.h"
#include "app/window/look.h"
#include "io/book/book.h"

#include <QApplication>
#include <QLineEdit>
#include <QPainter>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int deepest = 4; // steps that are indented; what lies deeper stands there too

struct Metrics {
    explicit Metrics(const QFont& normal)
        : first(normal)
        , second(normal) {
        first.setWeight(QFont::DemiBold);
        if (normal.pointSizeF() > 0.0) {
            second.setPointSizeF(normal.pointSizeF() * 0.9);
        }
        const QFontMetrics metrics(normal);
        line = metrics.height();
        padding = line / 3;
        step = line * 2 / 3;
    }

    QFont first;
    QFont second;
    int line = 0;
    int padding = 0;
    int step = 0;
};

void drawTags(QPainter& painter, const QRect& place, const QStringList& tags, const QColor& text) {
    const QFontMetrics metrics(painter.font());
    int right = place.right();
    for (auto tag = tags.rbegin(); tag != tags.rend(); ++tag) {
        const int width = metrics.horizontalAdvance(*tag) + metrics.height() / 2 + 2;
        const QRectF box(right - width + 0.5, place.top() + 0.5, width - 1, place.height() - 1);
        if (box.left() < place.left()) {
            break;
        }
        QColor edge = text;
        edge.setAlphaF(0.5F);
        painter.setPen(edge);
        painter.setBrush(Qt::NoBrush);
        painter.drawRoundedRect(box, 3.0, 3.0);
        painter.setPen(text);
        painter.drawText(box, Qt::AlignCenter, *tag);
        right -= width + 3;
    }
}

int tagsWidth(const QFontMetrics& metrics, const QStringList& tags) {
    int width = 0;
    for (const QString& tag : tags) {
        width += metrics.horizontalAdvance(tag) + metrics.height() / 2 + 5;
    }
    return width;
}

} // namespace

QSize BookDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& /*index*/) const {
    const Metrics metrics(option.font);
    return {metrics.line * 8,
            metrics.line + QFontMetrics(metrics.second).height() + 2 * metrics.padding + metrics.padding / 2};
}

void BookDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const {
    const Metrics metrics(option.font);
    const QPalette& palette = option.palette;
    const bool selected = option.state.testFlag(QStyle::State_Selected);
    const bool active = option.state.testFlag(QStyle::State_Active);
    painter->save();
    QColor ground = panelGround(palette);
    QColor text = palette.color(QPalette::WindowText);
    QColor quiet = quietText(palette);
    if (selected) {
        ground = mixed(ground, palette.color(QPalette::Highlight), isDark(palette) ? 0.45 : (active ? 0.18 : 0.12));
        quiet = text;
    } else if (option.state.testFlag(QStyle::State_MouseOver)) {
        ground = mixed(ground, text, 0.05);
    }
    painter->fillRect(option.rect, ground);
    if (selected) {
        painter->fillRect(QRect(option.rect.left(), option.rect.top(), 3, option.rect.height()),
                          palette.color(QPalette::Highlight));
    }
    const int depth = std::min(index.data(BookModel::depthRole).toInt(), deepest);
    const QRect inner = option.rect.adjusted(metrics.padding * 2 + depth * metrics.step, metrics.padding,
                                             -metrics.padding * 2, -metrics.padding);
    if (depth > 0) {
        // A thin line leads down from what it is based on.
        painter->setPen(mixed(ground, text, 0.25));
        const int x = inner.left() - metrics.step / 2;
        painter->drawLine(x, option.rect.top(), x, option.rect.bottom());
    }

    // First line: name, what it changed, state.
    int right = inner.right() + 1;
    const auto state = static_cast<book::RunState>(index.data(BookModel::stateRole).toInt());
    if (state != book::RunState::complete) {
        const QRectF box(right - metrics.line, inner.top(), metrics.line, metrics.line);
        drawSign(*painter, state == book::RunState::recording ? Sign::recording : Sign::recovered,
                 box.adjusted(1, 1, -1, -1), text);
        right -= metrics.line + metrics.padding;
        painter->setFont(metrics.second);
        painter->setPen(quiet);
        const QString word = state == book::RunState::recording ? tr("recording") : tr("recovered");
        const int width = QFontMetrics(metrics.second).horizontalAdvance(word);
        painter->drawText(QRect(right - width, inner.top(), width, metrics.line), Qt::AlignVCenter, word);
        right -= width + metrics.padding;
    }
    const QString change = index.data(BookModel::changeRole).toString();
    QString name = index.data(BookModel::nameRole).toString();
    name += change.isEmpty() ? QString() : u":"_s;
    const QFontMetrics bold(metrics.first);
    painter->setFont(metrics.first);
    painter->setPen(text);
    const QRect first(inner.left(), inner.top(), right - inner.left(), metrics.line);
    const int name_width = std::min(bold.horizontalAdvance(name), first.width());
    painter->drawText(first, Qt::AlignLeft | Qt::AlignVCenter, bold.elidedText(name, Qt::ElideRight, first.width()));
    if (!change.isEmpty()) {
        const int gap = bold.horizontalAdvance(u' ');
        const QRect rest = first.adjusted(name_width + gap, 0, 0, 0);
        if (rest.width() > metrics.line) {
            const QFontMetrics normal(option.font);
            painter->setFont(option.font);
            painter->drawText(rest, Qt::AlignLeft | Qt::AlignVCenter,
                              normal.elidedText(change, Qt::ElideRight, rest.width()));
        }
    }

    // Second line: day, peak, outcome, tags.
    painter->setFont(metrics.second);
    const QFontMetrics small(metrics.second);
    QRect second(inner.left(), first.bottom() + 1 + metrics.padding / 2, inner.width(), small.height());
    const QStringList tags = index.data(BookModel::tagsRole).toStringList();
    const int for_tags = std::min(tagsWidth(small, tags), second.width() / 2);
    if (for_tags > 0) {
        drawTags(*painter, second.adjusted(second.width() - for_tags, 0, 0, 0), tags, quiet);
        second.adjust(0, 0, -for_tags, 0);
    }
    painter->setPen(quiet);
    painter->drawText(second, Qt::AlignLeft | Qt::AlignVCenter,
                      small.elidedText(index.data(BookModel::detailRole).toString(), Qt::ElideRight, second.width()));
    if (option.state.testFlag(QStyle::State_HasFocus) && option.state.testFlag(QStyle::State_KeyboardFocusChange)) {
        painter->setPen(QPen(palette.color(QPalette::Highlight), 2));
        painter->setBrush(Qt::NoBrush);
        painter->drawRect(option.rect.adjusted(1, 1, -1, -1));
    }
    painter->restore();
}

void BookDelegate::updateEditorGeometry(QWidget* editor, const QStyleOptionViewItem& option,
                                        const QModelIndex& index) const {
    const Metrics metrics(option.font);
    const int depth = std::min(index.data(BookModel::depthRole).toInt(), deepest);
    const int height = std::max(editor->sizeHint().height(), metrics.line);
    editor->setGeometry(option.rect.left() + metrics.padding + depth * metrics.step,
                        option.rect.top() + (option.rect.height() - height) / 2,
                        option.rect.width() - 2 * metrics.padding - depth * metrics.step, height);
}

void BookDelegate::setEditorData(QWidget* editor, const QModelIndex& index) const {
    const auto* const line = qobject_cast<QLineEdit*>(editor);
    if (line == nullptr || !line->isModified()) {
        QStyledItemDelegate::setEditorData(editor, index);
    }
}

} // namespace potwatch::window
