// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"
#include "analysis/values/fault.h"
#include "analysis/values/progress.h"
#include "analysis/values/trace.h"

#include <cstddef>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

enum class DateOrder { dayFirst, monthFirst };

// What the person says of the file; an empty setting is found from the content. Detection never overrules one that is
// set.
struct ImportOptions {
    std::string unit; // of the temperature columns: "degC", "degF", "K", "mV"
    std::optional<DateOrder> date_order;
    std::string time_column;          // by name, or by number counted from 1
    std::vector<std::string> columns; // the value columns wanted, in this order, by name or number; empty = all
    std::optional<double> interval_s; // rows are this far apart: no time column is needed
    int workers = 0;                  // threads that parse; 0 = as many as the machine has, 2 at most
};

struct Refusal {
    long line = 0; // counted from 1 in the file
    std::string reason;

    bool operator==(const Refusal&) const = default;
};

// What is said of one value column, in its own unit.
struct ColumnSummary {
    std::size_t kept = 0;
    std::optional<double> min;
    std::optional<double> max;
    std::optional<double> max_at_s; // seconds from the first kept row to the first occurrence of max
    std::size_t missing = 0;        // kept rows where the cell is empty or a mark for nothing ("---", "nan", "n/a")
    std::size_t text_cells = 0;     // kept rows where the cell is some other text ("OL")
    std::optional<long> first_missing_line;
    std::optional<long> first_text_line;

    bool operator==(const ColumnSummary&) const = default;
};

// A table as it was read.
// Shape: summaries and channels correspond; time_s starts at 0 with the first kept row and is in the order of the file
// (backward and repeated times are kept and listed in clock_faults). A row is kept when it has a readable time and at
// least one number; a value that is missing in a kept row is NaN.
struct Table {
    std::string encoding;  // "UTF-8", "UTF-8 with BOM", "UTF-16LE", "UTF-16BE", "Latin-1"
    std::string delimiter; // "comma", "semicolon", "tab", "space", "pipe"
    std::string decimal;   // "point", "comma"
    long header_lines = 0; // lines above the first row of data
    std::string clock; // "seconds", "minutes", "hh:mm:ss", "ISO 8601", "date day-first", "epoch seconds", "interval",
                       // ... in full: the labels in clock.cpp
    std::optional<WallTime> started;
    std::vector<double> time_s;
    std::vector<Channel> channels;
    std::vector<ColumnSummary> summaries;
    std::size_t rows_refused = 0;
    std::vector<Refusal> refused; // the first max_listed of each, all are counted
    std::size_t clock_fault_count = 0;
    std::vector<Refusal> clock_faults;
    std::size_t odd_cell_count =
        0; // cells without a number in kept rows; rows one below the other share one entry of odd_cells
    std::vector<Refusal> odd_cells;
    std::vector<std::string> notes; // what was taken for granted: columns left out, units not stated, midnights passed
};

inline constexpr std::size_t max_listed = 100'000;

// Reads a text table that a logger, spreadsheet or script wrote.
// Errors: storage (cannot be opened or read: says why), input (empty, binary, a spreadsheet file, no time column, fewer
// than five distinct times, no value within -273.15 to 3000 °C, dates of unclear order), cancelled. Each says what to
// do. Cost: O(bytes); blocks of some MB are parsed by up to two threads.
[[nodiscard]] Result<Table> readFile(const std::string& path, const ImportOptions& options,
                                     const Progress& progress = {}, std::stop_token stop = {});

// The same for bytes in memory; `name` stands for the file in messages.
[[nodiscard]] Result<Table> readBytes(std::string_view bytes, const std::string& name, const ImportOptions& options);

} // namespace potwatch::csv
