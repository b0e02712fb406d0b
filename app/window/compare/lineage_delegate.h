// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStyledItemDelegate>

namespace potwatch::window {

class LineageModel;

// Draws a row of the lineage in two lines: a dot on the line of its family, the words, quieter what stands below, and
// in the peak's column an arrow from the peak before to the peak now, all in one scale.
class LineageDelegate : public QStyledItemDelegate {
    Q_OBJECT

public:
    explicit LineageDelegate(const LineageModel& model, QObject* parent = nullptr);

    void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
    [[nodiscard]] QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;

private:
    const LineageModel& model_;
};

} // namespace potwatch::window
