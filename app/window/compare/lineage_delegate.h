// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStyledItemDelegate>

namespace potwatch::window {

class LineageModel;

// Draws a row of the lineage: a dot on the line of its family, the words over as many lines as they take, quieter what
// stands below them, and in the peak's column an arrow from the peak before to the peak now, all in one scale.
class LineageDelegate : public QStyledItemDelegate {
    Q_OBJECT

public:
    explicit LineageDelegate(const LineageModel& model, QObject* parent = nullptr);

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    [[nodiscard]] QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;

private:
    // Without the lines of descent and the drawing of the peaks.
    [[nodiscard]] QRect placeOfWords(const QStyleOptionViewItem& option, const QModelIndex& index) const;

    const LineageModel& model_;
};

} // namespace potwatch::window
