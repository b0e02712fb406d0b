// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"
#include "io/csv/layout.h"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

// Rows one after the other whose cell in one column is missing, or a text.
struct CellRun {
    std::size_t column = 0;
    bool is_text = false;
    std::string text; // the first one
    long first_line = 0;
    long last_line = 0;
    std::size_t first_row = 0;
    std::size_t last_row = 0;
};

// From this kept row on, every row is one line further down.
struct LineMark {
    std::size_t row = 0;
    long line = 0;
};

// What a column's cells told besides their values.
struct ColumnEvidence {
    std::size_t missing = 0;
    std::size_t texts = 0;
    long first_missing_line = -1;
    long first_text_line = -1;
    std::size_t other_decimal = 0; // texts that are numbers with the other decimal mark
    bool has_fraction = false;     // a number with this decimal mark was read
};

// What dates told about the order of day and month; lines, -1 = none.
struct DateEvidence {
    long day_first_line = -1;   // a date that only fits day first
    long month_first_line = -1; // one that only fits month first
    bool differ = false;        // some date means another day in the other order
};

// The rows of one block.
// Shape: time and values hold `rows` entries that count (their size is a capacity that is used again); lines count from
// 0 in the block; NaN = missing.
struct BlockRows {
    std::size_t rows = 0;
    long lines = 0;
    std::size_t ticks = 0; // rows kept or refused: what --interval counts
    std::vector<double> time;
    std::vector<std::vector<double>> values;
    std::vector<ColumnSummary> summaries; // max_at_s is not filled in
    std::vector<std::size_t> max_rows;    // where each column's first maximum stands
    std::vector<ColumnEvidence> evidence;
    ColumnEvidence time_evidence;
    DateEvidence dates;
    std::optional<int> first_offset_s; // of the first kept row
    std::vector<LineMark> marks;
    std::vector<CellRun> cells;
    std::size_t refused_count = 0;
    std::vector<Refusal> refused;
    std::size_t comments = 0;

    void clear(std::size_t columns);
};

// Turns blocks of text into rows as the layout says.
// Threads: one parser may be used by many at once, each with its own BlockRows.
class RowParser {
public:
    explicit RowParser(const Layout& layout);

    // `block` ends with \n.
    void parse(std::string_view block, BlockRows& rows) const;

private:
    enum class Role { skip, value, time, clockText, beyond };

    struct Slot {
        Role role = Role::skip;
        char decimal = '.';
        std::size_t target = 0; // value: which column of values; clockText: which part
    };

    struct OddCell {
        std::size_t column = 0;
        bool is_text = false;
        std::string_view text;
    };

    // One row while it is read.
    struct Row {
        std::array<std::string_view, 6> clock;
        bool has_time = false;
        double time = 0.0;
        std::string_view time_text;
        std::size_t numbers = 0;
        std::size_t cells = 0;
        bool has_more = false; // something stands beyond the last column
        std::vector<OddCell> odd;

        void start() {
            clock.fill({});
            has_time = false;
            time = 0.0;
            time_text = {};
            numbers = 0;
            cells = 0;
            has_more = false;
            odd.clear();
        }
    };

    void parsePlain(std::string_view block, BlockRows& rows) const;
    void parseRecords(std::string_view block, BlockRows& rows) const;
    void readCell(std::string_view text, const Slot& slot, Row& row, BlockRows& rows) const;
    void fillShortRow(std::size_t from_column, Row& row, BlockRows& rows) const;
    void finishRow(std::string_view line, Row& row, BlockRows& rows) const;
    [[nodiscard]] bool readClock(Row& row, BlockRows& rows) const;
    void keepRow(const Row& row, BlockRows& rows) const;
    void noteOddCells(const Row& row, BlockRows& rows) const;
    void refuse(std::string reason, BlockRows& rows) const;
    void summarise(BlockRows& rows) const;

    Layout layout_;
    std::vector<Slot> slots_; // one a column of the file, then one for all beyond
    bool plain_possible_ = true;
    double largest_raw_ = 0.0;
};

} // namespace potwatch::csv
