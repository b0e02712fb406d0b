// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "app/format/finding_rows.h"

#include <QAbstractTableModel>
#include <QString>

#include <memory>
#include <optional>
#include <set>
#include <vector>

namespace potwatch::window {

// The findings of a run as a table: the pin's number on the chart, the name, the figure, the temperature that goes with
// a time. Groups have rows of their own.
class FindingsModel : public QAbstractTableModel {
    Q_OBJECT

public:
    enum Column : int { numberColumn, nameColumn, resultColumn, secondColumn, columnCountValue };

    using QAbstractTableModel::QAbstractTableModel;

    void setAnalysis(std::shared_ptr<const Analysis> analysis);
    // Rows whose two figures stand one above the other, because the list is too narrow for both beside each other.
    void setStacked(std::set<int> rows);
    void setOld(bool old); // while new ones are being computed

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;

    [[nodiscard]] bool isHeading(int row) const;
    // Where a heading or a figure that needs the room reaches to.
    [[nodiscard]] int columnsFrom(int row, int column) const;
    [[nodiscard]] const format::FindingRow* finding(int row) const;
    [[nodiscard]] int rowOf(format::FindingId id) const; // -1: not there
    [[nodiscard]] const std::shared_ptr<const Analysis>& analysis() const { return analysis_; }

    // Lines with tabs, as they are pasted into a spreadsheet.
    [[nodiscard]] QString copied(const QModelIndexList& indexes) const;
    [[nodiscard]] QString allCopied() const;

private:
    struct Line {
        std::optional<format::FindingRow> finding; // nothing: a heading
        QString heading;
        int number = 0; // of the pin; 0 = none
    };

    std::shared_ptr<const Analysis> analysis_;
    std::vector<Line> lines_;
    std::set<int> stacked_;
    bool old_ = false;
};

} // namespace potwatch::window
