// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/compare/compare_desk.h"

#include <QString>

class QAbstractItemModel;
class QPrinter;

namespace potwatch::window {

// The rows of a model as an HTML table; `note_role` stands below the words of a cell, where there is one (0 = none).
[[nodiscard]] QString tableHtml(const QAbstractItemModel& model, int note_role = 0);

// A sheet as it stands on paper: words first and large, the picture of a comparison (null: none) as vectors, then text
// and table, over as many pages as it takes. Errors: storage (the printer cannot be written to).
struct CompareSheet {
    QString title;
    QString headline;
    std::shared_ptr<const ComparedSet> compared;
    QString html; // below the picture
    QString table;
};
[[nodiscard]] Result<void> printSheet(const CompareSheet& sheet, QPrinter& printer);

} // namespace potwatch::window
