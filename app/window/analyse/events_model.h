// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/analyse_model.h"

#include <QAbstractTableModel>

#include <vector>

namespace potwatch::window {

// The events of a run: time, kind, words. Each edit is an edit of the notes.
class EventsModel : public QAbstractTableModel {
    Q_OBJECT

public:
    enum Column : int { timeColumn, kindColumn, textColumn, columnCountValue };

    explicit EventsModel(AnalyseModel& page, QObject* parent = nullptr);

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation, int role) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;

    [[nodiscard]] const Event* eventAt(int row) const;
    // Adds an event at a time as typed ("120", "2 min"); empty text = done, else why not.
    [[nodiscard]] QString add(const QString& typed_time, const QString& kind, const QString& words);
    void remove(int row);

private:
    AnalyseModel& page_;
    std::vector<Event> shown_; // as the view has them
};

} // namespace potwatch::window
