// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace potwatch::csv {

// The finite number that all of a cell says, or nothing. A sign, digits with at most one decimal mark, an exponent; no
// thousands marks, no hexadecimal, and never "nan" or "inf". Assumes: `cell` has no blanks around it.
[[nodiscard]] std::optional<double> readNumber(std::string_view cell, char decimal);

// True for what loggers and spreadsheets write where there is no value: nothing, "nan", "n/a", "null", "---" and the
// like.
[[nodiscard]] bool isMissingMark(std::string_view cell);

struct PlainNumber {
    const char* end = nullptr; // just after the number; null where readNumber must look
    double value = 0.0;
    bool has_fraction = false;
};

// The number at `at` where it is a plain one: [-]digits[.digits] of 18 digits at most. Exact: integer and power of ten
// are both exactly representable, so that their quotient is correctly rounded. Assumes: a byte that is neither digit
// nor decimal mark ends the text. Source: W. D. Clinger, "How to read floating point numbers accurately", PLDI 1990
// (the fast case). From memory.
[[nodiscard]] inline PlainNumber readPlainNumber(const char* at, char decimal) {
    static constexpr std::array<double, 19> power_of_ten{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                                         1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};
    constexpr std::uint64_t largest_exact = std::uint64_t{1} << 53;
    const bool negative = *at == '-';
    at += negative ? 1 : 0;
    std::uint64_t digits = 0;
    const char* start = at;
    unsigned digit = static_cast<unsigned>(*at) - '0';
    while (digit < 10) {
        digits = digits * 10 + digit;
        digit = static_cast<unsigned>(*++at) - '0';
    }
    auto count = at - start;
    std::ptrdiff_t decimals = 0;
    const bool has_fraction = *at == decimal;
    if (has_fraction) {
        start = ++at;
        digit = static_cast<unsigned>(*at) - '0';
        while (digit < 10) {
            digits = digits * 10 + digit;
            digit = static_cast<unsigned>(*++at) - '0';
        }
        decimals = at - start;
        count += decimals;
    }
    if (count == 0 || count > 18 || digits > largest_exact) {
        return {};
    }
    const double value = static_cast<double>(digits) / power_of_ten[static_cast<std::size_t>(decimals)];
    return {.end = at, .value = negative ? -value : value, .has_fraction = has_fraction};
}

} // namespace potwatch::csv
