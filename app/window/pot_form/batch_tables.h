// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/pot_form/pot_form_model.h"

#include <QAbstractTableModel>
#include <QList>
#include <QStringList>

namespace potwatch::window {

// A list of the batch as a small table: each edit is one edit of the batch. A refused entry leaves the cell as it was
// and stands as a problem of place().
class BatchTable : public QAbstractTableModel {
    Q_OBJECT

public:
    explicit BatchTable(PotFormModel& form, QObject* parent = nullptr);

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;

    [[nodiscard]] virtual std::string place() const = 0;
    [[nodiscard]] virtual QStringList choices(int column) const; // empty: the cell is typed
    [[nodiscard]] virtual bool canGrow() const { return true; }
    virtual void addRow() = 0;
    virtual void removeRow(int row) = 0;

protected:
    [[nodiscard]] PotFormModel& form() const { return form_; }
    [[nodiscard]] virtual QStringList titles() const = 0;
    [[nodiscard]] virtual int rows() const = 0;
    [[nodiscard]] virtual QString cell(int row, int column) const = 0;
    virtual bool setCell(int row, int column, const QString& typed) = 0;
    [[nodiscard]] virtual bool isFixed(int /*column*/) const { return false; }
    // The number in what was typed; a fault becomes the table's problem.
    [[nodiscard]] std::optional<double> number(const QString& typed, const char* unit);

private:
    void follow();

    PotFormModel& form_;
    QList<QStringList> shown_; // the cells as the view has them
};

// Portions of the dose as done by hand: time, amount, unit, over.
class DoseStepTable : public BatchTable {
    Q_OBJECT

public:
    using BatchTable::BatchTable;
    [[nodiscard]] std::string place() const override { return "dose.step"; }
    [[nodiscard]] QStringList choices(int column) const override;
    void addRow() override;
    void removeRow(int row) override;

protected:
    [[nodiscard]] QStringList titles() const override;
    [[nodiscard]] int rows() const override;
    [[nodiscard]] QString cell(int row, int column) const override;
    bool setCell(int row, int column, const QString& typed) override;
};

// What the charge was made of: substance, mass, mass fraction.
class IngredientTable : public BatchTable {
    Q_OBJECT

public:
    using BatchTable::BatchTable;
    [[nodiscard]] std::string place() const override { return "ingredient"; }
    void addRow() override;
    void removeRow(int row) override;

protected:
    [[nodiscard]] QStringList titles() const override;
    [[nodiscard]] int rows() const override;
    [[nodiscard]] QString cell(int row, int column) const override;
    bool setCell(int row, int column, const QString& typed) override;
};

// A row a channel of the trace: where its probe sits, its own lag.
class ProbeTable : public BatchTable {
    Q_OBJECT

public:
    using BatchTable::BatchTable;
    [[nodiscard]] std::string place() const override { return "probe"; }
    [[nodiscard]] QStringList choices(int column) const override;
    [[nodiscard]] bool canGrow() const override { return false; }
    void addRow() override {}
    void removeRow(int row) override;

protected:
    [[nodiscard]] QStringList titles() const override;
    [[nodiscard]] int rows() const override;
    [[nodiscard]] QString cell(int row, int column) const override;
    bool setCell(int row, int column, const QString& typed) override;
    [[nodiscard]] bool isFixed(int column) const override { return column == 0 || column == 3; }

private:
    [[nodiscard]] QStringList names() const;
    [[nodiscard]] const Probe* probeOf(const QString& channel) const;
};

} // namespace potwatch::window
