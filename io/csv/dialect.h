// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/record.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace potwatch::csv {

struct DialectFinding {
    Dialect dialect;
    std::size_t width = 0; // cells in a row of data; 1 where no delimiter makes a table of it
};

// The delimiter under which most cells of the sample become numbers and times, and the decimal mark that they use.
// `stated`: the delimiter that the file itself names (statedDelimiter), if any.
[[nodiscard]] DialectFinding findDialect(std::string_view sample, std::optional<char> stated);

// What a first line "sep=;" states.
[[nodiscard]] std::optional<char> statedDelimiter(std::string_view sample);

// "comma", "semicolon", "tab", "space", "pipe"; "point", "comma".
[[nodiscard]] std::string delimiterName(char delimiter);
[[nodiscard]] std::string decimalName(char decimal);

} // namespace potwatch::csv
