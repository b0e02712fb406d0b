// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/events_model.h"

#include <QWidget>

class QComboBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QTableView;

namespace potwatch::window {

// The events of a run: what was done or seen and when; one is added below the list.
class EventsPanel : public QWidget {
    Q_OBJECT

public:
    explicit EventsPanel(AnalyseModel& page, QWidget* parent = nullptr);

    // Asks for an event at this time: its kind is what is left to choose.
    void begin(double time_s);

Q_SIGNALS:
    void momentChosen(double time_s);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void add();
    void removeChosen();
    void refresh();

    AnalyseModel& page_;
    EventsModel* model_;
    QTableView* table_;
    QLabel* empty_;
    QLineEdit* time_;
    QComboBox* kind_;
    QLineEdit* words_;
    QLabel* problem_;
    QPushButton* remove_;
};

} // namespace potwatch::window
