// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/findings_model.h"

#include "app/report/findings_text.h"

#include <QFont>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <set>
#include <string_view>
#include <utility>

namespace potwatch::window {
namespace {

QString text(std::string_view words) {
    return QString::fromUtf8(words.data(), static_cast<qsizetype>(words.size()));
}

int pinNumber(const std::vector<report::Pin>& pins, const format::FindingRow& row) {
    if (!row.time_s) {
        return 0;
    }
    for (const report::Pin& pin : pins) {
        // Two landmarks may stand at one time: the name tells them apart.
        const bool same_name = pin.name.starts_with(row.name) || row.name.starts_with("peak of exotherm");
        if (pin.time_s == *row.time_s && same_name) {
            return pin.number;
        }
    }
    return 0;
}

} // namespace

void FindingsModel::setAnalysis(std::shared_ptr<const Analysis> analysis) {
    beginResetModel();
    analysis_ = std::move(analysis);
    lines_.clear();
    stacked_.clear();
    if (analysis_) {
        const std::vector<report::Pin> pins = report::pins(analysis_->findings);
        std::optional<format::FindingGroup> group;
        for (format::FindingRow& row : format::findingRows(*analysis_)) {
            if (group != row.group) {
                group = row.group;
                lines_.push_back({.heading = text(format::titleOf(row.group))});
            }
            const int number = pinNumber(pins, row);
            lines_.push_back({.finding = std::move(row), .number = number});
        }
    }
    endResetModel();
}

void FindingsModel::setStacked(std::set<int> rows) {
    if (rows != stacked_) {
        stacked_ = std::move(rows);
        if (!lines_.empty()) {
            Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, columnCountValue - 1));
        }
    }
}

void FindingsModel::setOld(bool old) {
    if (old != old_) {
        old_ = old;
        if (!lines_.empty()) {
            Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, columnCountValue - 1));
        }
    }
}

int FindingsModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(lines_.size());
}

int FindingsModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(columnCountValue);
}

QVariant FindingsModel::data(const QModelIndex& index, int role) const {
    if (!index.isValid() || index.row() >= rowCount()) {
        return {};
    }
    const Line& line = lines_[static_cast<std::size_t>(index.row())];
    if (role == Qt::FontRole && (!line.finding || old_)) {
        QFont font;
        font.setBold(!line.finding);
        font.setItalic(line.finding.has_value()); // old: seen to be old without a colour
        return font;
    }
    if (!line.finding) {
        return role == Qt::DisplayRole && index.column() == numberColumn ? QVariant(line.heading) : QVariant();
    }
    if (role == Qt::TextAlignmentRole && index.column() == numberColumn) {
        return QVariant(Qt::AlignRight | Qt::AlignVCenter);
    }
    const format::FindingRow& row = *line.finding;
    if (role == Qt::ToolTipRole || role == Qt::AccessibleDescriptionRole) {
        return row.intervals.empty() ? QVariant() : QVariant(tr("95 % interval: %1").arg(text(row.intervals)));
    }
    if (role != Qt::DisplayRole) {
        return {};
    }
    switch (index.column()) {
    case numberColumn:
        return line.number > 0 ? QVariant(QString::number(line.number)) : QVariant();
    case nameColumn:
        return row.by_hand ? tr("%1, by hand").arg(text(row.name)) : text(row.name);
    case resultColumn:
        return stacked_.count(index.row()) > 0 ? text(row.result + "\n" + row.second) : text(row.result);
    default:
        return text(row.second);
    }
}

Qt::ItemFlags FindingsModel::flags(const QModelIndex& index) const {
    return isHeading(index.row()) ? Qt::ItemIsEnabled : Qt::ItemIsEnabled | Qt::ItemIsSelectable;
}

bool FindingsModel::isHeading(int row) const {
    return row >= 0 && row < rowCount() && !lines_[static_cast<std::size_t>(row)].finding;
}

int FindingsModel::columnsFrom(int row, int column) const {
    if (isHeading(row)) {
        return column == numberColumn ? static_cast<int>(columnCountValue) : 1;
    }
    const format::FindingRow* const found = finding(row);
    const bool alone = found != nullptr && (found->second.empty() || stacked_.count(row) > 0);
    return alone && column == resultColumn ? 2 : 1;
}

const format::FindingRow* FindingsModel::finding(int row) const {
    if (row < 0 || row >= rowCount() || isHeading(row)) {
        return nullptr;
    }
    return &*lines_[static_cast<std::size_t>(row)].finding;
}

int FindingsModel::rowOf(format::FindingId id) const {
    for (int row = 0; row < rowCount(); ++row) {
        if (const format::FindingRow* const found = finding(row); found != nullptr && found->id == id) {
            return row;
        }
    }
    return -1;
}

QString FindingsModel::copied(const QModelIndexList& indexes) const {
    std::set<int> rows;
    for (const QModelIndex& index : indexes) {
        rows.insert(index.row());
    }
    QString lines;
    for (const int row : rows) {
        if (const format::FindingRow* const found = finding(row)) {
            lines += text(format::tabbed(*found)) + QLatin1Char('\n');
        }
    }
    return lines;
}

QString FindingsModel::allCopied() const {
    QString lines;
    for (const Line& line : lines_) {
        lines += (line.finding ? text(format::tabbed(*line.finding)) : line.heading) + QLatin1Char('\n');
    }
    return lines;
}

} // namespace potwatch::window
