// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace potwatch::csv {

// A text as a cell of a table: in quotes where it needs them. What a spreadsheet would take for a formula (it begins
// with = + - @, or a blank that it passes over before one) gets an apostrophe in front, which spreadsheets and the
// importer take for the mark of a text.
// Source of the characters: OWASP, "CSV Injection".
[[nodiscard]] std::string cellOfText(std::string_view text);

// A text as it was before cellOfText() marked it.
[[nodiscard]] std::string_view withoutTextMark(std::string_view text);

} // namespace potwatch::csv
