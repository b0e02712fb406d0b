// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_model.h"

#include "app/format/compare_text.h"

#include <QColor>
#include <QPalette>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

} // namespace

CompareModel::CompareModel(CompareDesk& desk, QObject* parent)
    : QAbstractTableModel(parent)
    , desk_(desk) {
    connect(&desk_, &CompareDesk::runsChanged, this, &CompareModel::rebuild);
    const auto refresh = [this] {
        if (!rows_.empty()) {
            Q_EMIT dataChanged(index(0, 0), index(static_cast<int>(rows_.size()) - 1, columnCount() - 1));
        }
    };
    connect(&desk_, &CompareDesk::ticksChanged, this, refresh);
    connect(&desk_, &CompareDesk::comparedChanged, this, refresh); // why one is left out
    connect(&desk_, &CompareDesk::requestChanged, this, [this] {
        const auto is_column = [this](std::size_t at, const std::string& key) {
            return at < columns_.size() && columns_[at]->key == key;
        };
        if (!is_column(0, desk_.request().x) || !is_column(1, desk_.request().y)) {
            setChosen(chosen_); // others are drawn: they stand first
        }
    });
    rebuild();
}

void CompareModel::rebuild() {
    const std::vector<session::RunToCompare>& runs = desk_.runs();
    const bool same = runs.size() == rows_.size() &&
                      std::equal(runs.begin(), runs.end(), rows_.begin(), [](const auto& run, const Row& row) {
                          return run.id == row.id && run.run == row.run;
                      });
    if (same) {
        return;
    }
    beginResetModel();
    rows_.clear();
    for (const session::RunToCompare& run : runs) {
        Row row{.id = run.id, .run = run.run, .name = tr("(not analysed)"), .why_not = {}, .cells = {}};
        if (run.run) {
            row.name = text(run.run->name);
        } else if (run.why_not) {
            row.why_not = text(describe(*run.why_not));
        }
        rows_.push_back(std::move(row));
    }
    available_.clear();
    for (const compare::Figure& figure : compare::figures()) {
        const bool any = std::any_of(rows_.begin(), rows_.end(), [&](const Row& row) {
            if (!row.run) {
                return false;
            }
            const compare::FigureValue value = figure.of(*row.run);
            return value.estimate.has_value() || !value.text.empty();
        });
        if (any) {
            available_.push_back(&figure);
        }
    }
    chooseColumns();
    endResetModel();
}

void CompareModel::chooseColumns() {
    columns_.clear();
    const session::CompareRequest& request = desk_.request();
    const compare::Figure* const x = compare::findFigure(request.x);
    const compare::Figure* const y = compare::findFigure(request.y);
    for (const compare::Figure* const axis : {x, y}) {
        if (std::find(available_.begin(), available_.end(), axis) != available_.end()) {
            columns_.push_back(axis);
        }
    }
    for (const compare::Figure* const figure : available_) {
        if (figure == x || figure == y) {
            continue;
        }
        const QString key = QString::fromUtf8(figure->key.data(), static_cast<qsizetype>(figure->key.size()));
        if (chosen_.isEmpty() ? figure->shown : chosen_.contains(key)) {
            columns_.push_back(figure);
        }
    }
    for (Row& row : rows_) {
        row.cells.clear();
        for (const compare::Figure* const figure : columns_) {
            row.cells.push_back(row.run ? figure->of(*row.run) : compare::FigureValue());
        }
    }
}

void CompareModel::setChosen(const QStringList& keys) {
    beginResetModel();
    chosen_ = keys;
    chooseColumns();
    endResetModel();
}

void CompareModel::setShown(const compare::Figure* figure, bool shown) {
    QStringList keys;
    for (const compare::Figure* const one : available_) {
        const bool was = std::find(columns_.begin(), columns_.end(), one) != columns_.end();
        if (one == figure ? shown : was) {
            keys += QString::fromUtf8(one->key.data(), static_cast<qsizetype>(one->key.size()));
        }
    }
    if (!keys.isEmpty()) {
        setChosen(keys);
    }
}

book::RunId CompareModel::idAt(int row) const {
    return row >= 0 && static_cast<std::size_t>(row) < rows_.size() ? rows_[static_cast<std::size_t>(row)].id
                                                                    : book::RunId();
}

int CompareModel::rowOf(const book::RunId& id) const {
    const auto found = std::find_if(rows_.begin(), rows_.end(), [&](const Row& row) { return row.id == id; });
    return found == rows_.end() ? -1 : static_cast<int>(found - rows_.begin());
}

int CompareModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(rows_.size());
}

int CompareModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : 1 + static_cast<int>(columns_.size());
}

QString CompareModel::leftOut(const Row& row) const {
    if (!row.why_not.isEmpty()) {
        return row.why_not;
    }
    const auto& compared = desk_.compared();
    const std::optional<std::size_t> at = compared && !compared->fault ? compared->indexOf(row.id) : std::nullopt;
    return at && !compared->comparison.scatter[*at].left_out.empty()
               ? tr("Not in the trend: %1").arg(text(compared->comparison.scatter[*at].left_out))
               : QString();
}

QVariant CompareModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) {
        return {};
    }
    const Row& row = rows_[static_cast<std::size_t>(index.row())];
    if (role == idRole) {
        return text(row.id);
    }
    if (role == Qt::ForegroundRole && (!row.run || !desk_.isTicked(row.id))) {
        return QPalette().color(QPalette::Disabled, QPalette::Text);
    }
    if (index.column() == 0) {
        switch (role) {
        case Qt::DisplayRole:
        case sortRole:
            return row.name;
        case Qt::CheckStateRole:
            return row.run ? QVariant(desk_.isTicked(row.id) ? Qt::Checked : Qt::Unchecked) : QVariant();
        case Qt::ToolTipRole: { // the name may be cut short
            const QString why_not = leftOut(row);
            return why_not.isEmpty() ? row.name : row.name + u'\n' + why_not;
        }
        default:
            return {};
        }
    }
    const auto column = static_cast<std::size_t>(index.column() - 1);
    const compare::FigureValue& value = row.cells[column];
    switch (role) {
    case Qt::DisplayRole: {
        const QString cell = text(format::cellText(value));
        return cell.isEmpty() ? u"–"_s : cell;
    }
    case Qt::TextAlignmentRole:
        return QVariant(columns_[column]->is_text ? Qt::AlignLeft | Qt::AlignVCenter
                                                  : Qt::AlignRight | Qt::AlignVCenter);
    case Qt::ToolTipRole:
        return value.missing.empty() ? QVariant() : QVariant(text(value.missing));
    case sortRole:
        if (value.estimate) {
            return value.estimate->value;
        }
        return value.text.empty() ? QVariant() : QVariant(text(value.text));
    default:
        return {};
    }
}

QVariant CompareModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || section < 0 || section >= columnCount()) {
        return {};
    }
    if (section == 0) {
        return role == Qt::DisplayRole         ? QVariant(tr("run"))
               : role == Qt::TextAlignmentRole ? QVariant(Qt::AlignLeft | Qt::AlignBottom)
                                               : QVariant();
    }
    const compare::Figure& figure = *columns_[static_cast<std::size_t>(section - 1)];
    if (role == Qt::DisplayRole) {
        const QString unit = QString::fromUtf8(figure.unit.data(), static_cast<qsizetype>(figure.unit.size()));
        QString title = QString::fromUtf8(figure.title.data(), static_cast<qsizetype>(figure.title.size()));
        // Two words a line keep the columns as narrow as their numbers.
        if (const qsizetype middle = title.indexOf(u' '); middle > 0 && title.size() > 12) {
            title[middle] = u'\n';
        }
        return unit.isEmpty() ? title : title + u'\n' + unit;
    }
    if (role == Qt::ToolTipRole) {
        return text(format::headingText(figure));
    }
    if (role == Qt::TextAlignmentRole && figure.is_text) {
        return QVariant(Qt::AlignLeft | Qt::AlignBottom);
    }
    return {};
}

Qt::ItemFlags CompareModel::flags(const QModelIndex& index) const {
    const Qt::ItemFlags flags = QAbstractTableModel::flags(index);
    return index.column() == 0 ? flags | Qt::ItemIsUserCheckable : flags;
}

bool CompareModel::setData(const QModelIndex& index, const QVariant& value, int role) {
    if (role != Qt::CheckStateRole || !index.isValid() || index.column() != 0) {
        return false;
    }
    desk_.setTicked(idAt(index.row()), value.toInt() == Qt::Checked);
    return true;
}

void CompareProxy::setWords(const QString& words) {
    words_ = words.simplified().split(u' ', Qt::SkipEmptyParts);
    invalidateFilter();
}

bool CompareProxy::lessThan(const QModelIndex& left, const QModelIndex& right) const {
    const QVariant a = left.data(CompareModel::sortRole);
    const QVariant b = right.data(CompareModel::sortRole);
    if (a.isValid() != b.isValid()) {
        return a.isValid() == (sortOrder() == Qt::AscendingOrder);
    }
    if (a.typeId() == QMetaType::Double && b.typeId() == QMetaType::Double) {
        return a.toDouble() < b.toDouble();
    }
    return QString::localeAwareCompare(a.toString(), b.toString()) < 0;
}

bool CompareProxy::filterAcceptsRow(int row, const QModelIndex& parent) const {
    QString all;
    for (int column = 0; !words_.isEmpty() && column < sourceModel()->columnCount(parent); ++column) {
        all += sourceModel()->index(row, column, parent).data().toString() + u'\n';
    }
    return std::all_of(words_.begin(), words_.end(),
                       [&](const QString& word) { return all.contains(word, Qt::CaseInsensitive); });
}

} // namespace potwatch::window
