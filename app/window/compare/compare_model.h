// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/figure.h"
#include "app/window/compare/compare_desk.h"

#include <QAbstractTableModel>
#include <QSortFilterProxyModel>
#include <QStringList>

#include <vector>

namespace potwatch::window {

// The runs as a table: its tick and its name, what is drawn across and upright, then a column a figure.
class CompareModel : public QAbstractTableModel {
    Q_OBJECT

public:
    explicit CompareModel(CompareDesk& desk, QObject* parent = nullptr);

    enum Role {
        sortRole = Qt::UserRole + 1, // double, QString, or invalid where there is nothing
        idRole
    };

    // Figures that any run has a value of, in the catalogue's order; those of the columns among them.
    [[nodiscard]] const std::vector<const compare::Figure*>& available() const { return available_; }
    [[nodiscard]] const std::vector<const compare::Figure*>& columns() const { return columns_; }
    void setShown(const compare::Figure* figure, bool shown);
    // Keys of the columns as the person chose them; empty = the catalogue's own choice.
    [[nodiscard]] QStringList chosen() const { return chosen_; }
    void setChosen(const QStringList& keys);

    [[nodiscard]] book::RunId idAt(int row) const;
    [[nodiscard]] int rowOf(const book::RunId& id) const; // -1 = not there

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override; // ticks

private:
    struct Row {
        book::RunId id;
        std::shared_ptr<const compare::ComparedRun> run; // null: could not be analysed
        QString name;
        QString why_not;
        std::vector<compare::FigureValue> cells; // as columns_
    };

    void rebuild();
    void chooseColumns();
    [[nodiscard]] QString leftOut(const Row& row) const;

    CompareDesk& desk_;
    std::vector<Row> rows_;
    std::vector<const compare::Figure*> available_;
    std::vector<const compare::Figure*> columns_;
    QStringList chosen_;
};

// Sorted by any column, what is unknown last whichever way; narrowed by words that all must occur in a row.
class CompareProxy : public QSortFilterProxyModel {
    Q_OBJECT

public:
    using QSortFilterProxyModel::QSortFilterProxyModel;
    void setWords(const QString& words);

protected:
    [[nodiscard]] bool lessThan(const QModelIndex& left, const QModelIndex& right) const override;
    [[nodiscard]] bool filterAcceptsRow(int row, const QModelIndex& parent) const override;

private:
    QStringList words_;
};

} // namespace potwatch::window
