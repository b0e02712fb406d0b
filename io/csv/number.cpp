// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/number.h"

#include "io/csv/vocabulary.h"

#include <fast_float/fast_float.h>

#include <algorithm>
#include <cmath>

namespace potwatch::csv {

std::optional<double> readNumber(std::string_view cell, char decimal) {
    constexpr std::string_view minus_sign = "\xE2\x88\x92"; // U+2212, which some spreadsheets write
    bool negative = false;
    if (cell.starts_with('-') || cell.starts_with('+')) {
        negative = cell.front() == '-';
        cell.remove_prefix(1);
    } else if (cell.starts_with(minus_sign)) {
        negative = true;
        cell.remove_prefix(minus_sign.size());
    }
    // fast_float would also take a second sign, "nan" and "infinity".
    if (cell.empty() || !((cell.front() >= '0' && cell.front() <= '9') || cell.front() == decimal)) {
        return std::nullopt;
    }
    double value = 0.0;
    const char* const end = cell.data() + cell.size();
    const auto result = fast_float::from_chars_advanced(
        cell.data(), end, value, fast_float::parse_options{fast_float::chars_format::general, decimal});
    if (result.ec != std::errc{} || result.ptr != end || !std::isfinite(value)) {
        return std::nullopt;
    }
    return negative ? -value : value;
}

bool isMissingMark(std::string_view cell) {
    if (cell.empty()) {
        return true;
    }
    if (std::all_of(cell.begin(), cell.end(), [](char c) { return c == '-' || c == '*' || c == '?' || c == '.'; })) {
        return true;
    }
    static constexpr std::array<std::string_view, 13> marks{"nan", "-nan", "+nan", "na",   "n/a", "#n/a", "null",
                                                            "nil", "none", "void", "n.a.", "#na", "<na>"};
    if (cell.size() > 5) {
        return false;
    }
    return std::find(marks.begin(), marks.end(), lowercased(cell)) != marks.end();
}

} // namespace potwatch::csv
