// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/session/book_list.h"
#include "app/session/one_run.h"

#include <QString>

#include <optional>
#include <string_view>
#include <vector>

class QComboBox;
class QFormLayout;
class QLabel;
class QLineEdit;
class QWidget;

namespace potwatch::window {

// The open book, as a dialog that works on one of its runs needs it.
struct ChosenBook {
    QString path;
    std::vector<session::ListedRun> runs;
    book::RunId shown; // is chosen at first
};

// A choice among the runs that are there, the latest first; its data is the run's id.
[[nodiscard]] QComboBox* runChoice(const ChosenBook& book, const QString& name, QWidget* parent);
// The same runs as they are now. True where another one is chosen than before, which no signal tells.
[[nodiscard]] bool refill(QComboBox& choice, const ChosenBook& book);
[[nodiscard]] const session::ListedRun* chosenRun(const ChosenBook& book, const QComboBox& choice);
[[nodiscard]] session::OneRun oneRun(const ChosenBook& book, const QComboBox& choice);

// Adds a line to type a number into.
[[nodiscard]] QLineEdit* addNumberField(QFormLayout& form, const QString& label, const QString& name, QWidget* parent);
// Adds what stands there already with its label.
void addLabelled(QFormLayout& form, const QString& label, QWidget* field);

// A wrapped text that can be selected.
[[nodiscard]] QLabel* wrappedText(const QString& name, QWidget* parent);
[[nodiscard]] QLabel* quietText(const QString& name, QWidget* parent); // what to do, said beside

// What stands in a field, in that unit; nothing where it is empty. Errors: those of format::quantityOf(), with the
// field's accessible name.
[[nodiscard]] Result<std::optional<double>> numberIn(const QLineEdit& field, std::string_view unit);

// Options of the command line become names of the fields.
[[nodiscard]] QString faultsInWords(const std::vector<Fault>& faults);

} // namespace potwatch::window
