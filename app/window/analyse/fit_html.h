// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/session/fit_files.h"

#include <QString>

#include <vector>

namespace potwatch::window {

// All that a fit says, as rich text: what it comes to and its warnings first, then table after table.
[[nodiscard]] QString fitHtml(const session::FittedFiles& fitted);
// The same for a spreadsheet: cells parted by tabulators.
[[nodiscard]] QString fitTabbed(const session::FittedFiles& fitted);
// Why there is no answer, and what to do.
[[nodiscard]] QString faultsHtml(const std::vector<Fault>& faults);

} // namespace potwatch::window
