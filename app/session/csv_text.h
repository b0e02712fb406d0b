// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace potwatch::session {

// A text as a cell of a CSV: quoted where it must be, and with an apostrophe in front where a spreadsheet would take it
// for a formula (it begins with = + - @, a tabulator or a carriage return). The importer takes that apostrophe off
// again. Not for numbers.
[[nodiscard]] std::string csvText(std::string_view text);

} // namespace potwatch::session
