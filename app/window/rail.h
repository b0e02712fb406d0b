// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/icons.h"

#include <QAbstractButton>
#include <QString>
#include <QWidget>

#include <vector>

class QButtonGroup;
class QVBoxLayout;

namespace potwatch::window {

// One page of the rail: its sign with its word below.
class RailButton : public QAbstractButton {
    Q_OBJECT

public:
    RailButton(Sign sign, const QString& word, QWidget* parent);
    [[nodiscard]] QSize sizeHint() const override;

protected:
    void paintEvent(QPaintEvent* event) override;
    void enterEvent(QEnterEvent* event) override;
    void leaveEvent(QEvent* event) override;

private:
    Sign sign_;
};

// The narrow rail with the pages, at the window's left.
class Rail : public QWidget {
    Q_OBJECT

public:
    explicit Rail(QWidget* parent = nullptr);

    // Adds a page below those there are; returns its number. Ctrl+1, Ctrl+2 ... go to them.
    int addPage(Sign sign, const QString& word, const QString& object_name);
    void setPage(int page);

Q_SIGNALS:
    void pageChosen(int page);

protected:
    void paintEvent(QPaintEvent* event) override;

private:
    QVBoxLayout* layout_ = nullptr;
    QButtonGroup* pages_ = nullptr;
};

} // namespace potwatch::window
