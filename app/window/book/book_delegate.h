// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStyledItemDelegate>

namespace potwatch::window {

// Draws a run of the batch book in two lines: its name with what it changed, and below, quieter, day, peak and outcome.
class BookDelegate : public QStyledItemDelegate {
    Q_OBJECT

public:
    using QStyledItemDelegate::QStyledItemDelegate;

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    [[nodiscard]] QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    void updateEditorGeometry(QWidget* editor, const QStyleOptionViewItem& option,
                              const QModelIndex& index) const override;
    // A run that changes while its name is typed (its peak arrives) leaves what has been typed so far alone.
    void setEditorData(QWidget* editor, const QModelIndex& index) const override;
};

} // namespace potwatch::window
