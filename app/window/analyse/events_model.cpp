// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/events_model.h"

#include "app/format/number.h"
#include "app/format/quantity_text.h"

#include <cstddef>
#include <utility>

namespace potwatch::window {

EventsModel::EventsModel(AnalyseModel& page, QObject* parent)
    : QAbstractTableModel(parent)
    , page_(page) {
    connect(&page, &AnalyseModel::changed, this, [this] {
        // A reset closes the cell that is being typed into: only where there are more or fewer events than before.
        const std::vector<Event> before = std::exchange(shown_, page_.notes().batch.events);
        if (before.size() != shown_.size()) {
            beginResetModel();
            endResetModel();
            return;
        }
        for (std::size_t i = 0; i < shown_.size(); ++i) {
            if (before[i] != shown_[i]) {
                const int row = static_cast<int>(i);
                Q_EMIT dataChanged(this->index(row, 0), this->index(row, columnCountValue - 1));
            }
        }
    });
}

int EventsModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(page_.notes().batch.events.size());
}

int EventsModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(columnCountValue);
}

QVariant EventsModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole) {
        return {};
    }
    switch (section) {
    case timeColumn:
        return tr("at");
    case kindColumn:
        return tr("event");
    default:
        return tr("words");
    }
}

const Event* EventsModel::eventAt(int row) const {
    return row >= 0 && row < rowCount() ? &page_.notes().batch.events[static_cast<std::size_t>(row)] : nullptr;
}

QVariant EventsModel::data(const QModelIndex& index, int role) const {
    const Event* const one = eventAt(index.row());
    if (one == nullptr || (role != Qt::DisplayRole && role != Qt::EditRole && role != Qt::ToolTipRole)) {
        return {};
    }
    switch (index.column()) {
    case timeColumn:
        if (role == Qt::EditRole) {
            return QString::fromStdString(format::fieldText(one->time_s));
        }
        return QString::fromStdString(role == Qt::ToolTipRole ? format::durationText(one->time_s)
                                                              : format::valueText(one->time_s, format::Quantity::time));
    case kindColumn:
        return QString::fromStdString(one->kind);
    default:
        return QString::fromStdString(one->text);
    }
}

Qt::ItemFlags EventsModel::flags(const QModelIndex& /*index*/) const {
    return Qt::ItemIsEnabled | Qt::ItemIsSelectable | Qt::ItemIsEditable;
}

bool EventsModel::setData(const QModelIndex& index, const QVariant& value, int role) {
    const Event* const one = eventAt(index.row());
    if (one == nullptr || role != Qt::EditRole) {
        return false;
    }
    Event changed = *one;
    const QString typed = value.toString().trimmed();
    if (index.column() == timeColumn) {
        const Result<double> time_s = format::quantityOf(typed.toStdString(), "s");
        if (!time_s) {
            Q_EMIT page_.message(QString::fromStdString(time_s.error().what + "; " + time_s.error().remedy));
            return false;
        }
        changed.time_s = *time_s;
    } else {
        (index.column() == kindColumn ? changed.kind : changed.text) = typed.toStdString();
    }
    page_.changeEvent(index.row(), changed);
    return true;
}

QString EventsModel::add(const QString& typed_time, const QString& kind, const QString& words) {
    const Result<double> time_s = format::quantityOf(typed_time.trimmed().toStdString(), "s");
    if (!time_s) {
        return QString::fromStdString(time_s.error().what + "; " + time_s.error().remedy);
    }
    if (kind.trimmed().isEmpty()) {
        return tr("Choose or type what happened.");
    }
    page_.addEvent({.time_s = *time_s, .kind = kind.trimmed().toStdString(), .text = words.trimmed().toStdString()});
    return {};
}

void EventsModel::remove(int row) {
    page_.removeEvent(row);
}

} // namespace potwatch::window
