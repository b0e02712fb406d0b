// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/csv_text.h"

namespace potwatch::session {

namespace {

// An apostrophe that stands before such a sign already gets another, so that taking one off brings the text back.
bool looksLikeFormula(std::string_view text) {
    constexpr std::string_view signs = "=+-@\t\r";
    const std::size_t first = text.find_first_not_of('\'');
    return first != std::string_view::npos && signs.find(text[first]) != std::string_view::npos;
}

} // namespace

std::string csvText(std::string_view text) {
    const std::string whole = (looksLikeFormula(text) ? "'" : "") + std::string(text);
    if (whole.find_first_of(",;\"\r\n\t") == std::string::npos && !whole.starts_with(' ') && !whole.ends_with(' ')) {
        return whole;
    }
    std::string quoted = "\"";
    for (const char c : whole) {
        quoted += c == '"' ? "\"\"" : std::string(1, c);
    }
    return quoted + '"';
}

} // namespace potwatch::session
