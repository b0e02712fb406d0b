// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

class QAbstractItemModel;

namespace potwatch::window {

// The rows of a model as an HTML table; `note_role` stands below the words of a cell, where there is one (0 = none).
[[nodiscard]] QString tableHtml(const QAbstractItemModel& model, int note_role = 0);

} // namespace potwatch::window
