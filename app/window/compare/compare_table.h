// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/compare/compare_model.h"

#include <QWidget>

class QLabel;
class QLineEdit;
class QMenu;
class QTableView;

namespace potwatch::window {

// The table of the runs with what narrows it, chooses its columns and ticks its runs. The current row is the run that
// is lit up: by mouse, by key, and from elsewhere.
class CompareTable : public QWidget {
    Q_OBJECT

public:
    explicit CompareTable(CompareDesk& desk, QWidget* parent = nullptr);

    [[nodiscard]] CompareModel& model() { return *model_; }
    [[nodiscard]] const QAbstractItemModel& shown() const { return *proxy_; } // filtered and sorted
    // As the rows stand.
    [[nodiscard]] std::vector<book::RunId> order() const;
    // What is shown, with tabs between the cells, for a spreadsheet.
    [[nodiscard]] QString tabbed() const;

Q_SIGNALS:
    void runWanted(const potwatch::book::RunId& id); // Enter or a double click: to be analysed
    void message(const QString& text);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void fillColumns();
    void showLit();
    void showCount();
    void copy();
    void fitColumns();

    CompareDesk& desk_;
    CompareModel* model_;
    CompareProxy* proxy_;
    QLineEdit* words_;
    QMenu* columns_;
    QTableView* view_;
    QLabel* count_;
    bool showing_ = false; // what is lit elsewhere: not to be told back
};

} // namespace potwatch::window
