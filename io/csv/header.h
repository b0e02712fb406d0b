// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/encoding.h"
#include "io/csv/sample.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::csv {

// Where the table begins and what its columns are called.
// Shape: names, units and columns have one entry a column.
struct Head {
    std::size_t first_row = 0;      // of data, among the rows of the sample
    std::vector<std::string> names; // UTF-8, as in the file, trimmed outside quotes; empty = the column has none
    std::vector<std::string> units; // what a row of units says, UTF-8; empty where it says nothing
    std::string header_text; // the line of names as it stands, to know it again further down; empty = there is none
    std::vector<ColumnSample> columns;
};

// Finds the first row that reads like the bulk of the table, and above it the names (in a line or a comment) and a row
// of units. Nothing where no row has a number or a time in it.
[[nodiscard]] std::optional<Head> findHead(const std::vector<SampleRow>& rows, std::size_t width, Dialect dialect,
                                           Encoding encoding);

} // namespace potwatch::csv
