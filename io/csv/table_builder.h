// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"
#include "io/csv/layout.h"
#include "io/csv/rows.h"

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

namespace potwatch::csv {

// Puts the rows of all blocks together in the order of the file: seconds from the first row, faults of the clock,
// summaries. Threads: one at a time.
class TableBuilder {
public:
    // `bytes_expected`: the size of the file, where it is known, from which room for all rows is made at once.
    TableBuilder(const Layout& layout, std::optional<std::uint64_t> bytes_expected);

    // Takes the rows of the next block of `bytes` bytes; their times are used up.
    void append(BlockRows& rows, std::size_t bytes);

    // Number of the first line that was not appended yet.
    [[nodiscard]] long nextLine() const { return next_line_; }

    // What all blocks told about dates (lines counted from 1 in the file) and about decimal marks.
    [[nodiscard]] const DateEvidence& dates() const { return dates_; }
    [[nodiscard]] const std::vector<ColumnEvidence>& evidence() const { return evidence_; }
    [[nodiscard]] const ColumnEvidence& timeEvidence() const { return time_evidence_; }

    // The table: without columns that turned out to hold no numbers; they are named in its notes.
    [[nodiscard]] Table finish();

private:
    void makeRoom(const BlockRows& rows, std::size_t bytes);
    void passMidnight(BlockRows& rows);
    void appendTimes(BlockRows& rows);
    void appendValues(const BlockRows& rows);
    void appendCells(const BlockRows& rows);
    void addEvidence(const BlockRows& rows);
    void dropColumnsWithoutNumbers();
    void listCells();
    [[nodiscard]] std::optional<WallTime> started() const;
    [[nodiscard]] std::string title(std::size_t column) const;

    const Layout& layout_;
    std::optional<std::uint64_t> bytes_expected_;
    Table table_;
    long next_line_;
    std::size_t ticks_ = 0;
    double first_raw_ = 0.0;
    double previous_raw_ = 0.0;
    double highest_raw_ = -std::numeric_limits<double>::infinity();
    double wrapped_raw_ = 0.0; // added to times of day after midnight
    std::size_t midnights_ = 0;
    std::optional<int> first_offset_s_;
    DateEvidence dates_;
    std::vector<ColumnEvidence> evidence_;
    ColumnEvidence time_evidence_;
    std::vector<CellRun> cells_;
    std::vector<std::optional<std::size_t>> last_run_; // of each column, in cells_
    std::size_t comments_ = 0;
};

} // namespace potwatch::csv
