// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QListWidget>
#include <QString>
#include <QStringList>

#include <vector>

namespace potwatch::window {

// A list whose lines are ticked (space) and put into an order (Ctrl+Up, Ctrl+Down).
class CheckList : public QListWidget {
    Q_OBJECT

public:
    struct Line {
        QString id;
        QString text;
        bool chosen = false;
        QString why_not{}; // it cannot be ticked now, and why: its tip

        bool operator==(const Line&) const = default;
    };

    explicit CheckList(QWidget* parent = nullptr);

    // In that order; the current line stays the current one. Tells nothing.
    void setLines(const std::vector<Line>& lines);
    [[nodiscard]] std::vector<Line> lines() const;
    [[nodiscard]] QStringList chosen() const; // ids, in their order

    void chooseAll(bool chosen);
    void moveCurrent(int step);

Q_SIGNALS:
    void edited(); // ticks or order

protected:
    void keyPressEvent(QKeyEvent* event) override;

private:
    bool filling_ = false;
};

} // namespace potwatch::window
