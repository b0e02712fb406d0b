// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/check_list.h"

#include "app/window/look.h"

#include <QApplication>
#include <QKeyEvent>
#include <QPainter>
#include <QStyle>
#include <QStyledItemDelegate>

namespace potwatch::window {
namespace {

constexpr int id_role = Qt::UserRole;
constexpr int why_not_role = Qt::UserRole + 1;

// The boxes have a frame that is seen on a dark ground too.
class FramedBoxes : public QStyledItemDelegate {
public:
    using QStyledItemDelegate::QStyledItemDelegate;

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override {
        QStyledItemDelegate::paint(painter, option, index);
        QStyleOptionViewItem shown = option;
        initStyleOption(&shown, index);
        const QStyle& style = shown.widget != nullptr ? *shown.widget->style() : *QApplication::style();
        const QRect box = style.subElementRect(QStyle::SE_ItemViewItemCheckIndicator, &shown, shown.widget);
        painter->save();
        painter->setPen(quietText(shown.palette));
        painter->drawRect(box.adjusted(0, 0, -1, -1));
        painter->restore();
    }
};

} // namespace

CheckList::CheckList(QWidget* parent)
    : QListWidget(parent) {
    setSelectionMode(QAbstractItemView::SingleSelection);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setTextElideMode(Qt::ElideRight);
    setUniformItemSizes(true);
    setItemDelegate(new FramedBoxes(this));
    connect(this, &QListWidget::itemChanged, this, [this] {
        if (!filling_) {
            Q_EMIT edited();
        }
    });
}

void CheckList::setLines(const std::vector<Line>& lines_wanted) {
    if (lines_wanted == lines()) {
        return;
    }
    filling_ = true;
    const QString current = currentItem() == nullptr ? QString() : currentItem()->data(id_role).toString();
    clear();
    for (const Line& line : lines_wanted) {
        auto* const item = new QListWidgetItem(line.text, this);
        item->setData(id_role, line.id);
        item->setData(why_not_role, line.why_not);
        item->setToolTip(line.why_not.isEmpty() ? line.text : line.why_not);
        item->setSizeHint({0, fontMetrics().height() * 3 / 2});
        item->setFlags(line.why_not.isEmpty() ? Qt::ItemIsEnabled | Qt::ItemIsSelectable | Qt::ItemIsUserCheckable
                                              : Qt::ItemIsSelectable | Qt::ItemIsUserCheckable);
        item->setCheckState(line.chosen ? Qt::Checked : Qt::Unchecked);
        if (line.id == current) {
            setCurrentItem(item);
        }
    }
    if (currentItem() == nullptr && count() > 0) {
        setCurrentRow(0);
    }
    filling_ = false;
}

std::vector<CheckList::Line> CheckList::lines() const {
    std::vector<Line> all;
    for (int row = 0; row < count(); ++row) {
        const QListWidgetItem& one = *item(row);
        all.push_back({.id = one.data(id_role).toString(),
                       .text = one.text(),
                       .chosen = one.checkState() == Qt::Checked,
                       .why_not = one.data(why_not_role).toString()});
    }
    return all;
}

QStringList CheckList::chosen() const {
    QStringList ids;
    for (const Line& line : lines()) {
        if (line.chosen) {
            ids += line.id;
        }
    }
    return ids;
}

void CheckList::chooseAll(bool chosen) {
    std::vector<Line> all = lines();
    for (Line& line : all) {
        line.chosen = chosen;
    }
    setLines(all);
    Q_EMIT edited();
}

void CheckList::moveCurrent(int step) {
    const int from = currentRow();
    const int to = from + step;
    if (from < 0 || to < 0 || to >= count()) {
        return;
    }
    filling_ = true;
    insertItem(to, takeItem(from));
    setCurrentRow(to);
    filling_ = false;
    Q_EMIT edited();
}

void CheckList::keyPressEvent(QKeyEvent* event) {
    if (event->modifiers() == Qt::ControlModifier && (event->key() == Qt::Key_Up || event->key() == Qt::Key_Down)) {
        moveCurrent(event->key() == Qt::Key_Up ? -1 : 1);
        return;
    }
    QListWidget::keyPressEvent(event);
}

} // namespace potwatch::window
