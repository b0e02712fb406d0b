// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

class QLineEdit;
class QListWidget;
class QPushButton;

namespace potwatch::window {

// The running log of a recording, newest on top, and in its foot the letter keys.
class LogColumn : public QWidget {
    Q_OBJECT

public:
    explicit LogColumn(QWidget* parent = nullptr);

    void clear();
    void add(double time_s, const QString& words);
    void takeNote(); // puts the cursor where notes are typed
    void setStopping(bool stopping);

    // Seconds of the run: "1:02:07" or "02:07".
    [[nodiscard]] static QString clockText(double time_s);

Q_SIGNALS:
    void noteTyped(const QString& words); // empty where it was given up
    void formWanted();
    void stopWanted();

private:
    [[nodiscard]] QWidget* keys();

    QListWidget* list_ = nullptr;
    QLineEdit* note_ = nullptr;
    QPushButton* stop_ = nullptr;
};

} // namespace potwatch::window
