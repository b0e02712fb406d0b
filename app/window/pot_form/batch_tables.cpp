// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/batch_tables.h"

#include "app/format/quantity_text.h"
#include "app/session/calibrations.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <utility>

namespace potwatch::window {
namespace {

QString textOf(const std::string& words) {
    return QString::fromStdString(words);
}

QString numberText(double value) {
    return textOf(format::fieldText(value));
}

std::size_t at(int row) {
    return static_cast<std::size_t>(row);
}

} // namespace

BatchTable::BatchTable(PotFormModel& form, QObject* parent)
    : QAbstractTableModel(parent)
    , form_(form) {
    connect(&form, &PotFormModel::changed, this, &BatchTable::follow);
}

// A reset closes the cell that is being typed into: only where there are more or fewer rows than before.
void BatchTable::follow() {
    QList<QStringList> cells;
    for (int row = 0; row < rows(); ++row) {
        QStringList line;
        for (int column = 0; column < columnCount(); ++column) {
            line.push_back(cell(row, column));
        }
        cells.push_back(line);
    }
    const QList<QStringList> before = std::exchange(shown_, cells);
    if (before.size() != cells.size()) {
        beginResetModel();
        endResetModel();
        return;
    }
    for (int row = 0; row < cells.size(); ++row) {
        if (before[row] != cells[row]) {
            Q_EMIT dataChanged(index(row, 0), index(row, columnCount() - 1));
        }
    }
}

int BatchTable::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : rows();
}

int BatchTable::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(titles().size());
}

QVariant BatchTable::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole || section >= titles().size()) {
        return {};
    }
    return titles().at(section);
}

QVariant BatchTable::data(const QModelIndex& index, int role) const {
    if (!index.isValid() || index.row() >= rows() || (role != Qt::DisplayRole && role != Qt::EditRole)) {
        return {};
    }
    return cell(index.row(), index.column());
}

Qt::ItemFlags BatchTable::flags(const QModelIndex& index) const {
    const Qt::ItemFlags usual = Qt::ItemIsEnabled | Qt::ItemIsSelectable;
    return isFixed(index.column()) ? usual : usual | Qt::ItemIsEditable;
}

bool BatchTable::setData(const QModelIndex& index, const QVariant& value, int role) {
    if (!index.isValid() || role != Qt::EditRole || index.row() >= rows()) {
        return false;
    }
    return setCell(index.row(), index.column(), value.toString().trimmed());
}

QStringList BatchTable::choices(int /*column*/) const {
    return {};
}

std::optional<double> BatchTable::number(const QString& typed, const char* unit) {
    const Result<double> read = format::quantityOf(typed.toStdString(), unit);
    if (!read) {
        form_.reportProblem(place(), textOf(read.error().what + "; " + read.error().remedy));
        return std::nullopt;
    }
    return *read;
}

// Steps of the dose

QStringList DoseStepTable::titles() const {
    return {tr("at, s"), tr("amount"), tr("unit"), tr("over, s")};
}

QStringList DoseStepTable::choices(int column) const {
    return column == 2 ? QStringList{tr("g"), tr("mL"), tr("drops")} : QStringList();
}

int DoseStepTable::rows() const {
    return form().batch().dose ? static_cast<int>(form().batch().dose->steps.size()) : 0;
}

QString DoseStepTable::cell(int row, int column) const {
    const DoseStep& step = form().batch().dose->steps[at(row)];
    switch (column) {
    case 0:
        return numberText(step.time_s);
    case 1:
        return numberText(step.amount);
    case 2:
        return choices(2).at(static_cast<int>(step.unit));
    default:
        return numberText(step.over_s);
    }
}

bool DoseStepTable::setCell(int row, int column, const QString& typed) {
    Batch after = form().batch();
    DoseStep& step = after.dose->steps[at(row)];
    if (column == 2) {
        const auto unit = choices(2).indexOf(typed);
        if (unit < 0) {
            return false;
        }
        step.unit = static_cast<DoseUnit>(unit);
    } else {
        const std::optional<double> value = number(typed, column == 1 ? "" : "s");
        if (!value) {
            return false;
        }
        (column == 0 ? step.time_s : column == 1 ? step.amount : step.over_s) = *value;
    }
    return form().replace(after, tr("step %1 of the dose").arg(row + 1), place());
}

void DoseStepTable::addRow() {
    Batch after = form().batch();
    if (!after.dose) {
        after.dose.emplace();
    }
    // As the step before, a while later: one number is left to type.
    DoseStep step = after.dose->steps.empty() ? DoseStep{.time_s = after.dose->start_s.value_or(0.0), .amount = 1.0}
                                              : after.dose->steps.back();
    if (!after.dose->steps.empty()) {
        step.time_s += 60.0;
    }
    after.dose->steps.push_back(step);
    form().replace(after, tr("a step more of the dose"), place());
}

void DoseStepTable::removeRow(int row) {
    if (row < 0 || row >= rows()) {
        return;
    }
    Batch after = form().batch();
    after.dose->steps.erase(after.dose->steps.begin() + row);
    if (*after.dose == Dose{}) {
        after.dose.reset();
    }
    form().replace(after, tr("step %1 of the dose taken out").arg(row + 1), place());
}

// Ingredients

QStringList IngredientTable::titles() const {
    return {tr("substance"), tr("mass, g"), tr("fraction")};
}

int IngredientTable::rows() const {
    return static_cast<int>(form().batch().ingredients.size());
}

QString IngredientTable::cell(int row, int column) const {
    const Ingredient& part = form().batch().ingredients[at(row)];
    if (column == 0) {
        return textOf(part.substance);
    }
    if (column == 1) {
        return numberText(part.mass_g);
    }
    return part.mass_fraction ? numberText(*part.mass_fraction) : QString();
}

bool IngredientTable::setCell(int row, int column, const QString& typed) {
    Batch after = form().batch();
    Ingredient& part = after.ingredients[at(row)];
    if (column == 0) {
        part.substance = typed.toStdString();
    } else if (column == 2 && typed.isEmpty()) {
        part.mass_fraction = std::nullopt;
    } else {
        const std::optional<double> value = number(typed, column == 1 ? "g" : "");
        if (!value) {
            return false;
        }
        if (column == 1) {
            part.mass_g = *value;
        } else {
            part.mass_fraction = *value;
        }
    }
    return form().replace(after, tr("ingredient %1").arg(textOf(part.substance)), place());
}

void IngredientTable::addRow() {
    Batch after = form().batch();
    after.ingredients.push_back({.substance = tr("phenol").toStdString()});
    form().replace(after, tr("an ingredient more"), place());
}

void IngredientTable::removeRow(int row) {
    if (row < 0 || row >= rows()) {
        return;
    }
    Batch after = form().batch();
    const QString name = textOf(after.ingredients[at(row)].substance);
    after.ingredients.erase(after.ingredients.begin() + row);
    form().replace(after, tr("%1 taken out").arg(name), place());
}

// Probes

QStringList ProbeTable::titles() const {
    return {tr("channel"), tr("sits in"), tr("own lag, s"), tr("calibration")};
}

QStringList ProbeTable::names() const {
    QStringList all = form().channels("");
    for (const Probe& probe : form().batch().probes) {
        if (const QString name = textOf(probe.channel); !all.contains(name)) {
            all.push_back(name);
        }
    }
    return all;
}

const Probe* ProbeTable::probeOf(const QString& channel) const {
    for (const Probe& probe : form().batch().probes) {
        if (textOf(probe.channel) == channel) {
            return &probe;
        }
    }
    return nullptr;
}

QStringList ProbeTable::choices(int column) const {
    return column == 1 ? QStringList{tr("not stated"), tr("pot"),  tr("core"), tr("skin"),
                                     tr("mould"),      tr("oven"), tr("air"),  tr("elsewhere")}
                       : QStringList();
}

int ProbeTable::rows() const {
    return static_cast<int>(names().size());
}

QString ProbeTable::cell(int row, int column) const {
    const QString channel = names().at(row);
    if (column == 0) {
        return channel;
    }
    const Probe* const probe = probeOf(channel);
    if (probe == nullptr) {
        return column == 1 ? choices(1).at(0) : QString();
    }
    if (column == 1) {
        return choices(1).at(1 + static_cast<int>(probe->role));
    }
    if (column == 3) {
        return textOf(session::correctionText(*probe));
    }
    return probe->lag_s ? numberText(*probe->lag_s) : QString();
}

bool ProbeTable::setCell(int row, int column, const QString& typed) {
    const QString channel = names().at(row);
    Batch after = form().batch();
    auto probe = std::find_if(after.probes.begin(), after.probes.end(),
                              [&](const Probe& one) { return textOf(one.channel) == channel; });
    if (column == 1) {
        const auto choice = choices(1).indexOf(typed);
        if (choice < 0) {
            return false;
        }
        if (choice == 0) {
            if (probe != after.probes.end() && probe->calibration) {
                probe->role = ProbeRole::other; // what it was calibrated with stays
            } else if (probe != after.probes.end()) {
                after.probes.erase(probe);
            }
            return form().replace(after, tr("probe %1 taken out").arg(channel), place());
        }
        if (probe == after.probes.end()) {
            probe = after.probes.insert(probe, {.channel = channel.toStdString()});
        }
        probe->role = static_cast<ProbeRole>(choice - 1);
        return form().replace(after, tr("%1 sits in: %2").arg(channel, typed), place());
    }
    std::optional<double> lag_s;
    if (!typed.isEmpty()) {
        lag_s = number(typed, "s");
        if (!lag_s) {
            return false;
        }
    } else if (probe == after.probes.end()) {
        return true;
    }
    if (probe == after.probes.end()) {
        probe = after.probes.insert(probe, {.channel = channel.toStdString()});
    }
    probe->lag_s = lag_s;
    probe->lag_u_s.reset(); // that of a plunge test belongs to another lag
    probe->lag_done.reset();
    return form().replace(after, tr("lag of %1").arg(channel), place());
}

void ProbeTable::removeRow(int row) {
    if (row >= 0 && row < rows()) {
        setCell(row, 1, choices(1).at(0));
    }
}

} // namespace potwatch::window
