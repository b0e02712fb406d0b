// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QFrame>

class QLabel;
class QPushButton;

namespace potwatch::window {

class BigWords;

// A warning over the whole width of the page, with what to do; it stands in the place of the sentence, which goes on in
// it smaller.
class WarningBand : public QFrame {
    Q_OBJECT

public:
    explicit WarningBand(QWidget* parent);

    void say(const QString& what, const QString& advice, const QString& sentence);
    void setSeen(bool seen);

Q_SIGNALS:
    void seen();

private:
    BigWords* what_ = nullptr;
    QLabel* advice_ = nullptr;
    QLabel* sentence_ = nullptr;
    QPushButton* seen_ = nullptr;
};

} // namespace potwatch::window
