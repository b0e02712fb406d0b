// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QLabel;
class QPushButton;

namespace potwatch::window {

// What stands in the page's place while there is no run: what to do first.
class StartPage : public QWidget {
    Q_OBJECT

public:
    explicit StartPage(QWidget* parent = nullptr);

    enum class State { noBook, emptyBook, noneSelected, reading };
    void setState(State state);
    void focusFirst(); // the keys go to the first button

Q_SIGNALS:
    void importWanted();
    void demoWanted();
    void openWanted();

private:
    QLabel* title_ = nullptr;
    QLabel* text_ = nullptr;
    QPushButton* import_ = nullptr;
    QPushButton* demo_ = nullptr;
    QPushButton* open_ = nullptr;
    QLabel* hint_ = nullptr;
};

} // namespace potwatch::window
