// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/lineage.h"
#include "app/window/compare/compare_desk.h"

#include <QAbstractTableModel>

#include <optional>
#include <vector>

namespace potwatch::window {

// What changed from run to run and what came of it, a row a run.
class LineageModel : public QAbstractTableModel {
    Q_OBJECT

public:
    explicit LineageModel(CompareDesk& desk, QObject* parent = nullptr);

    enum Column : int { run_column, change_column, peak_column, heat_column, degree_column, outcome_column, columns };
    enum Role { noteRole = Qt::UserRole + 1 }; // what stands below the first line, quieter

    // The lines of descent across a row: each stands at a level, steps from the left.
    struct Rails {
        int level = 0;            // of this run's dot
        std::vector<int> through; // of lines that pass by
        std::optional<int> from;  // of the run that this one is based on
        bool goes_on = false;     // another run is based on this one
    };
    [[nodiscard]] const Rails& rails(int row) const { return rails_[static_cast<std::size_t>(row)]; }

    // The book's runs, in any order.
    void setRuns(std::vector<session::ListedRun> runs);
    [[nodiscard]] const std::vector<session::LineageLine>& lines() const { return lines_; }
    [[nodiscard]] bool hasLineage() const; // any run is based on another
    [[nodiscard]] book::RunId idAt(int row) const;
    [[nodiscard]] int rowOf(const book::RunId& id) const;
    // The stretch of temperatures that the arrows of the peaks are drawn in.
    [[nodiscard]] double lowestPeak() const { return lowest_; }
    [[nodiscard]] double highestPeak() const { return highest_; }

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation, int role) const override;

private:
    void rebuild();
    void layRails();
    [[nodiscard]] QString wordsOf(const session::LineageLine& line, int column) const;
    [[nodiscard]] QString noteOf(const session::LineageLine& line, int column) const;

    CompareDesk& desk_;
    std::vector<session::ListedRun> runs_;
    std::vector<session::LineageLine> lines_;
    std::vector<Rails> rails_; // as lines_
    double lowest_ = 0.0;
    double highest_ = 0.0;
};

} // namespace potwatch::window
