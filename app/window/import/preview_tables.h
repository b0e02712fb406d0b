// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"

#include <QString>

class QTableWidget;
class QWidget;

namespace potwatch::window {

// The tables that show what the importer makes of a file.
[[nodiscard]] QTableWidget* previewTable(const QString& object_name, const QString& accessible_name, QWidget* parent);

void fillColumns(QTableWidget& widget, const csv::Table& table); // name, unit, numbers, least, greatest, at
void fillRows(QTableWidget& widget, const csv::Table& table);    // the first rows
// Lines refused, faults of the clock, cells without a number. Returns how many there are, listed or not.
int fillLines(QTableWidget& widget, const csv::Table& table);

} // namespace potwatch::window
