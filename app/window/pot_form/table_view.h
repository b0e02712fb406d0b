// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QTableView>
#include <QToolButton>
#include <QWidget>

namespace potwatch::window {

class BatchTable;

// A small table of the form with its buttons; as high as its rows.
class TableView : public QWidget {
    Q_OBJECT

public:
    TableView(BatchTable& table, const QString& name, QWidget* parent = nullptr);

private:
    void fitHeight();

    BatchTable& table_;
    QTableView* view_;
    QToolButton* less_ = nullptr;
};

} // namespace potwatch::window
