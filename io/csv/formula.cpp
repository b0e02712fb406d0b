// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/formula.h"

namespace potwatch::csv {
namespace {

// Marks in front are passed over, so that a text that was written with one is read back with it.
bool asksForAMark(std::string_view text) {
    const std::size_t start = text.find_first_not_of("' \t\r\n");
    return start != std::string_view::npos && std::string_view("=+-@").find(text[start]) != std::string_view::npos;
}

} // namespace

std::string cellOfText(std::string_view text) {
    const std::string marked = (asksForAMark(text) ? "'" : "") + std::string(text);
    // Some spreadsheets part cells at semicolons and tabs as well.
    if (marked.find_first_of(",;\t\"\r\n") == std::string::npos && !marked.starts_with(' ') && !marked.ends_with(' ')) {
        return marked;
    }
    std::string quoted = "\"";
    for (const char c : marked) {
        quoted += c == '"' ? "\"\"" : std::string(1, c);
    }
    return quoted + '"';
}

std::string_view withoutTextMark(std::string_view text) {
    return text.starts_with('\'') && asksForAMark(text) ? text.substr(1) : text;
}

} // namespace potwatch::csv
