// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>

#include <optional>
#include <string>
#include <vector>

class QComboBox;
class QLabel;
class QLineEdit;
class QPlainTextEdit;
class QToolButton;

namespace potwatch::window {

class Settings;

// What stays the same from run to run, folded away: how the device speaks, the kinetics behind the watch, what a
// warning runs. It is remembered.
class BenchSetup : public QWidget {
    Q_OBJECT

public:
    explicit BenchSetup(QWidget* parent = nullptr);

    void restore(const Settings& settings);
    void save(Settings& settings) const;

    [[nodiscard]] QString deviceFile() const; // empty = how lines are built is found by looking
    [[nodiscard]] std::string unit() const;   // of values that come without one, where there is no device file
    [[nodiscard]] QString kineticsFile() const;
    [[nodiscard]] std::vector<std::string> warningCommand() const; // a program and its arguments
    void sayOfCommand(const QString& words);                       // what came of trying it

Q_SIGNALS:
    void tryCommandWanted();

private:
    QLineEdit* fileRow(const QString& label, const QString& name, const QString& without, const QString& title);
    void open(bool opened);
    void showSense(); // which fields mean something now

    QToolButton* head_ = nullptr;
    QWidget* body_ = nullptr;
    QLineEdit* device_file_ = nullptr;
    QComboBox* unit_ = nullptr;
    QLineEdit* kinetics_file_ = nullptr;
    QPlainTextEdit* command_ = nullptr;
    QLabel* of_command_ = nullptr;
};

} // namespace potwatch::window
