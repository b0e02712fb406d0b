// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/clock.h"
#include "io/csv/encoding.h"
#include "io/csv/import.h"
#include "io/csv/record.h"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

// One column of values, as it is to be read.
struct ColumnPlan {
    std::size_t index = 0; // among the columns of the file
    std::string name;
    std::string unit;
    std::string cell_unit; // the unit that its cells carry
    char decimal = '.';
    bool wanted_by_person = false;
};

// All that is known of a file before its rows are read.
struct Layout {
    Encoding encoding = Encoding::utf8;
    bool returns_end_lines = false; // lines end with CR alone
    Dialect dialect;
    std::size_t width = 0;   // cells of a row
    long lines_above = 0;    // lines above the first row of data
    std::string header_text; // to know a repeated header
    ClockPlan clock;
    std::vector<std::string> names; // of all columns of the file
    std::vector<ColumnPlan> columns;
    std::vector<std::string> notes;
};

// The layout of a file that begins with `sample` (UTF-8 or Latin-1, whole lines ended by \n).
// Errors: input (no table in it, no time column, no such column, a unit that is not known).
[[nodiscard]] Result<Layout> findLayout(std::string_view sample, Encoding encoding, const ImportOptions& options,
                                        const std::string& file);

} // namespace potwatch::csv
