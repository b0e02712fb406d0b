// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/moment.h"
#include "io/csv/record.h"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

// The head of a file, as every finding about it (dialect, header, clock, columns) looks at it.

enum class CellKind { missing, number, moment, text };

// What a cell holds, whichever decimal mark is used. A number may carry a unit ("23.5 °C").
[[nodiscard]] CellKind kindOf(std::string_view cell, char decimal);

// A number with a unit behind it, split; both empty where the cell is nothing of the kind.
struct NumberWithUnit {
    std::string_view number;
    std::string_view unit;
};
[[nodiscard]] NumberWithUnit splitUnit(std::string_view cell, char decimal);

struct SampleRow {
    long line = 0; // the first of its lines, counted from 1
    std::string_view text;
    bool comment = false;
    std::vector<Cell> cells; // of a comment: without its mark
};

// The rows of the sample, blank ones left out. Views into the sample.
[[nodiscard]] std::vector<SampleRow> splitSample(std::string_view sample, char delimiter);

// What one column holds in the rows of data of the sample.
struct ColumnSample {
    std::size_t missing = 0;
    std::size_t numbers = 0;
    std::size_t moments = 0;
    std::size_t texts = 0;
    std::size_t points = 0; // numbers with a decimal point, and with a decimal comma
    std::size_t commas = 0;
    char decimal = '.';
    std::string cell_unit;               // the unit that the numbers carry
    std::vector<double> values;          // the numbers in order
    std::vector<Moment> times;           // the moments in order
    std::vector<std::string_view> words; // the texts in order

    // Clock or number rather than text.
    [[nodiscard]] bool isMoments() const { return moments > 0 && moments * 2 >= numbers + moments + texts; }
    [[nodiscard]] bool isNumbers() const { return numbers > 0 && numbers * 2 >= numbers + moments + texts; }
};

// "1,234" or "12,345,678" between delimiting commas: more likely thousands than a decimal comma, so that it is left as
// a text rather than read a thousand times too small.
[[nodiscard]] bool looksLikeThousands(std::string_view cell);

// Column by column, `width` of them. The dialect's decimal mark is for columns whose own numbers tell nothing.
[[nodiscard]] std::vector<ColumnSample> sampleColumns(const std::vector<SampleRow>& rows, std::size_t first_row,
                                                      std::size_t width, Dialect dialect);

} // namespace potwatch::csv
