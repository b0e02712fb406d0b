// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QDialog>

class QMenuBar;

namespace potwatch::window {

// Every wish of the menus that has keys, and the keys of the list.
class ShortcutsDialog : public QDialog {
    Q_OBJECT

public:
    ShortcutsDialog(const QMenuBar& menus, QWidget* parent);
};

// The cautions of the trade, and that Potwatch is no safety device.
class SafetyDialog : public QDialog {
    Q_OBJECT

public:
    explicit SafetyDialog(QWidget* parent);
};

class AboutDialog : public QDialog {
    Q_OBJECT

public:
    explicit AboutDialog(QWidget* parent);
};

} // namespace potwatch::window
