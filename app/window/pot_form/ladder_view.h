// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/ladder.h"

#include <QLabel>
#include <QString>
#include <QToolButton>
#include <QWidget>

#include <vector>

namespace potwatch::window {

// What each next piece of knowledge buys: the next step in one line, all of them when it is opened.
class LadderView : public QWidget {
    Q_OBJECT

public:
    explicit LadderView(QWidget* parent = nullptr);

    void setRungs(const std::vector<session::Rung>& rungs);

Q_SIGNALS:
    void fieldWanted(const QString& place);

private:
    void open(bool opened);

    QLabel* next_;
    QLabel* steps_;
    QToolButton* more_;
};

} // namespace potwatch::window
