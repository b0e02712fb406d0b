// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/watch_state.h"

#include <QStringList>
#include <QWidget>

#include <vector>

namespace potwatch::window {

// The pot as an upright bar: its level is the temperature; lines across it are the start, the limit, the boiling point,
// and how far what is in the pot could take it.
class HeatBar : public QWidget {
    Q_OBJECT

public:
    explicit HeatBar(QWidget* parent = nullptr);

    void clear();
    void setState(const WatchState& state);

    [[nodiscard]] QStringList marks() const; // their words, from the top down

protected:
    void paintEvent(QPaintEvent* event) override;
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

private:
    struct Mark {
        double temperature_c;
        QString words;
    };
    [[nodiscard]] std::vector<Mark> sortedMarks() const;

    WatchState state_;
};

} // namespace potwatch::window
