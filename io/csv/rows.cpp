// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/rows.h"

#include "io/csv/moment.h"
#include "io/csv/number.h"
#include "io/csv/sample.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

namespace potwatch::csv {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

// Rows that a block's columns have room for at first; they grow as needed and are used again.
constexpr std::size_t rows_at_first = 1024;

void makeRoom(BlockRows& rows) {
    if (rows.rows < rows.time.size()) {
        return;
    }
    const std::size_t capacity = std::max(rows_at_first, rows.time.size() * 2);
    rows.time.resize(capacity);
    for (std::vector<double>& column : rows.values) {
        column.resize(capacity);
    }
}

// A number that may carry the column's unit.
std::optional<double> readWithUnit(std::string_view text, char decimal, std::string_view cell_unit) {
    if (auto value = readNumber(text, decimal)) {
        return value;
    }
    if (!cell_unit.empty() && text.ends_with(cell_unit)) {
        text.remove_suffix(cell_unit.size());
        return readNumber(trimmed(text), decimal);
    }
    return std::nullopt;
}

const char* cellEnd(const char* at, char delimiter) {
    while (*at != delimiter && *at != '\n') {
        ++at;
    }
    return at;
}

bool endsCell(const char* at, char delimiter) {
    return *at == delimiter || *at == '\n' || (*at == '\r' && at[1] == '\n');
}

} // namespace

void BlockRows::clear(std::size_t columns) {
    rows = 0;
    lines = 0;
    ticks = 0;
    values.resize(columns);
    for (std::vector<double>& column : values) {
        column.resize(time.size());
    }
    summaries.assign(columns, {});
    max_rows.assign(columns, 0);
    evidence.assign(columns, {});
    time_evidence = {};
    dates = {};
    first_offset_s.reset();
    marks.clear();
    cells.clear();
    refused_count = 0;
    refused.clear();
    comments = 0;
}

RowParser::RowParser(const Layout& layout)
    : layout_(layout)
    , slots_(layout.width + 1) {
    slots_.back().role = Role::beyond;
    const ClockPlan& clock = layout_.clock;
    for (std::size_t part = 0; part < clock.columns.size() && clock.source != ClockPlan::Source::interval; ++part) {
        const bool is_text = clock.source == ClockPlan::Source::text;
        slots_[clock.columns[part]] = {
            .role = is_text ? Role::clockText : Role::time, .decimal = clock.decimal, .target = part};
    }
    for (std::size_t c = 0; c < layout_.columns.size(); ++c) {
        Slot& slot = slots_[layout_.columns[c].index];
        if (slot.role == Role::skip) {
            slot = {.role = Role::value, .decimal = layout_.columns[c].decimal, .target = c};
        }
    }
    const char delimiter = layout_.dialect.delimiter;
    plain_possible_ = delimiter != ' ' && std::none_of(slots_.begin(), slots_.end(), [delimiter](const Slot& slot) {
                          return slot.decimal == delimiter;
                      });
    constexpr double largest_s = 1e12; // thirty thousand years: beyond it a time is no time
    largest_raw_ = largest_s * clock.denominator / clock.numerator;
}

void RowParser::parse(std::string_view block, BlockRows& rows) const {
    rows.clear(layout_.columns.size());
    if (plain_possible_ && std::memchr(block.data(), '"', block.size()) == nullptr) {
        parsePlain(block, rows);
    } else {
        parseRecords(block, rows);
    }
    summarise(rows);
}

// The fast way, for blocks without quotes: each byte is looked at once.
void RowParser::parsePlain(std::string_view block, BlockRows& rows) const {
    const char delimiter = layout_.dialect.delimiter;
    const char* at = block.data();
    const char* const end = at + block.size();
    const bool time_is_number = layout_.clock.source == ClockPlan::Source::number;
    Row row;
    while (at != end) {
        const char* const line = at;
        // Only lines that begin with no digit can be blank, a comment or a header.
        const unsigned first_digit = static_cast<unsigned>(*at) - '0';
        if (first_digit > 9) {
            const char* const line_end =
                static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
            const std::string_view text{line, static_cast<std::size_t>(line_end - line)};
            const bool comment = isComment(text, delimiter);
            if (comment || trimmed(text).empty()) {
                rows.comments += comment ? 1 : 0;
                ++rows.lines;
                at = line_end + 1;
                continue;
            }
        }
        makeRoom(rows);
        row.start();
        std::size_t column = 0;
        while (true) {
            const Slot& slot = slots_[column];
            while (*at == ' ') {
                ++at;
            }
            if (slot.role == Role::value || slot.role == Role::time) {
                const PlainNumber number = readPlainNumber(at, slot.decimal);
                if (number.end != nullptr && endsCell(number.end, delimiter)) {
                    at = number.end;
                    if (slot.role == Role::value) {
                        rows.values[slot.target][rows.rows] = number.value;
                        rows.evidence[slot.target].has_fraction |= number.has_fraction;
                        ++row.numbers;
                    } else {
                        row.time = number.value;
                        row.has_time = true;
                        rows.time_evidence.has_fraction |= number.has_fraction;
                    }
                } else {
                    const char* const cell_end = cellEnd(at, delimiter);
                    readCell({at, static_cast<std::size_t>(cell_end - at)}, slot, row, rows);
                    at = cell_end;
                }
            } else {
                const char* const cell_end = cellEnd(at, delimiter);
                if (slot.role != Role::skip) {
                    readCell({at, static_cast<std::size_t>(cell_end - at)}, slot, row, rows);
                }
                at = cell_end;
            }
            ++row.cells;
            if (*at != delimiter) {
                break;
            }
            ++at;
            column += column < layout_.width ? 1 : 0;
        }
        at += *at == '\r' ? 1 : 0;
        if (time_is_number && row.has_time && row.numbers == layout_.columns.size() && column < layout_.width &&
            std::abs(row.time) <= largest_raw_) {
            ++rows.ticks;
            keepRow(row, rows); // nearly every row of nearly every file
        } else {
            fillShortRow(column + 1, row, rows);
            finishRow({line, static_cast<std::size_t>(at - line)}, row, rows);
        }
        ++rows.lines;
        ++at;
    }
}

// The general way: quotes, cells in runs of blanks, decimal commas between delimiting commas.
void RowParser::parseRecords(std::string_view block, BlockRows& rows) const {
    const char delimiter = layout_.dialect.delimiter;
    std::vector<Cell> cells;
    Row row;
    while (!block.empty()) {
        const Record record = takeRecord(block, delimiter);
        const bool comment = isComment(record.text, delimiter);
        if (comment || trimmed(record.text).empty()) {
            rows.comments += comment ? 1 : 0;
            rows.lines += record.lines;
            continue;
        }
        makeRoom(rows);
        row.start();
        splitCells(record.text, delimiter, cells);
        for (std::size_t c = 0; c < cells.size(); ++c) {
            readCell(cells[c].text, slots_[std::min(c, layout_.width)], row, rows);
        }
        row.cells = cells.size();
        fillShortRow(cells.size(), row, rows);
        finishRow(record.text, row, rows);
        rows.lines += record.lines;
    }
}

void RowParser::readCell(std::string_view text, const Slot& slot, Row& row, BlockRows& rows) const {
    text = trimmed(text);
    switch (slot.role) {
    case Role::skip:
        return;
    case Role::beyond:
        row.has_more = row.has_more || !text.empty();
        return;
    case Role::clockText:
        row.clock[slot.target] = text;
        return;
    case Role::time: {
        row.time_text = text;
        const std::optional<double> value = readWithUnit(text, slot.decimal, layout_.clock.cell_unit);
        row.has_time = value.has_value();
        row.time = value.value_or(0.0);
        if (value) {
            rows.time_evidence.has_fraction |= text.find(slot.decimal) != std::string_view::npos;
        } else if (readNumber(text, slot.decimal == '.' ? ',' : '.')) {
            ++rows.time_evidence.other_decimal;
        }
        return;
    }
    case Role::value:
        break;
    }
    const std::optional<double> value = readWithUnit(text, slot.decimal, layout_.columns[slot.target].cell_unit);
    rows.values[slot.target][rows.rows] = value.value_or(not_a_number);
    if (value) {
        ++row.numbers;
        rows.evidence[slot.target].has_fraction |= text.find(slot.decimal) != std::string_view::npos;
        return;
    }
    const bool is_text = !isMissingMark(text);
    row.odd.push_back({.column = slot.target, .is_text = is_text, .text = text});
    if (is_text && readNumber(text, slot.decimal == '.' ? ',' : '.') &&
        !(layout_.dialect.delimiter == ',' && looksLikeThousands(text))) {
        ++rows.evidence[slot.target].other_decimal;
    }
}

void RowParser::fillShortRow(std::size_t from_column, Row& row, BlockRows& rows) const {
    for (std::size_t c = from_column; c < layout_.width; ++c) {
        readCell({}, slots_[c], row, rows);
    }
}

bool RowParser::readClock(Row& row, BlockRows& rows) const {
    const ClockPlan& clock = layout_.clock;
    switch (clock.source) {
    case ClockPlan::Source::interval:
        row.time = static_cast<double>(rows.ticks - 1);
        return true;
    case ClockPlan::Source::number:
        return row.has_time && std::abs(row.time) <= largest_raw_;
    case ClockPlan::Source::text:
        break;
    }
    std::array<char, 80> joined{};
    std::size_t size = 0;
    for (std::size_t part = 0; part < clock.columns.size(); ++part) {
        const std::string_view text = row.clock[part];
        if (size + text.size() + 1 + clock.tail.size() > joined.size() || (part == 0 && text.empty())) {
            return false;
        }
        if (part > 0) {
            joined[size++] = clock.joints[part - 1];
        }
        std::copy(text.begin(), text.end(), joined.begin() + static_cast<std::ptrdiff_t>(size));
        size += text.size();
    }
    std::copy(clock.tail.begin(), clock.tail.end(), joined.begin() + static_cast<std::ptrdiff_t>(size));
    size += clock.tail.size();
    const std::optional<Moment> moment = readMoment(trimmed({joined.data(), size}));
    if (!moment || (moment->date != Moment::Date::none) != clock.dated || (clock.needs_time && !moment->has_time)) {
        return false;
    }
    if (moment->date == Moment::Date::dayOrMonthFirst) {
        rows.dates.differ = rows.dates.differ || moment->first != moment->second;
        if (moment->first > 12 && rows.dates.day_first_line < 0) {
            rows.dates.day_first_line = rows.lines;
        }
        if (moment->second > 12 && rows.dates.month_first_line < 0) {
            rows.dates.month_first_line = rows.lines;
        }
    }
    const std::optional<std::int64_t> time_us = microseconds(*moment, clock.order);
    if (!time_us) {
        return false;
    }
    row.time = static_cast<double>(*time_us);
    if (clock.minutes_first && moment->time_fields == 2) {
        row.time /= 60.0; // it was counted as hh:mm
    }
    if (rows.rows == 0) {
        rows.first_offset_s = moment->offset_s;
    }
    return std::abs(row.time) <= largest_raw_;
}

void RowParser::finishRow(std::string_view line, Row& row, BlockRows& rows) const {
    if (!layout_.header_text.empty() && row.numbers == 0 && trimmed(line) == layout_.header_text) {
        refuse("the header again", rows);
        return;
    }
    ++rows.ticks;
    if (row.has_more) {
        refuse(fmt::format("{} cells where the table has {}", row.cells, layout_.width), rows);
        return;
    }
    if (!readClock(row, rows)) {
        std::string_view text = row.time_text;
        if (layout_.clock.source == ClockPlan::Source::text) {
            text = row.clock[0].empty() && layout_.clock.columns.size() > 1 ? row.clock[1] : row.clock[0];
        }
        refuse(text.empty() ? "no time" : fmt::format("no readable time: \"{}\"", excerpt(text, layout_.encoding)),
               rows);
        return;
    }
    if (row.numbers == 0) {
        refuse("no number in it", rows);
        return;
    }
    keepRow(row, rows);
}

void RowParser::keepRow(const Row& row, BlockRows& rows) const {
    rows.time[rows.rows] = row.time;
    const LineMark expected = rows.marks.empty() ? LineMark{.row = 0, .line = -1} : rows.marks.back();
    if (rows.marks.empty() || expected.line + static_cast<long>(rows.rows - expected.row) != rows.lines) {
        rows.marks.push_back({.row = rows.rows, .line = rows.lines});
    }
    if (!row.odd.empty()) {
        noteOddCells(row, rows);
    }
    ++rows.rows;
}

void RowParser::noteOddCells(const Row& row, BlockRows& rows) const {
    for (const OddCell& cell : row.odd) {
        ColumnEvidence& evidence = rows.evidence[cell.column];
        ++(cell.is_text ? evidence.texts : evidence.missing);
        long& first_line = cell.is_text ? evidence.first_text_line : evidence.first_missing_line;
        first_line = first_line < 0 ? rows.lines : first_line;
        // The newest run of this column is among the last few: one a column at most per row.
        CellRun* run = nullptr;
        const std::size_t looked_at = std::min(rows.cells.size(), 2 * layout_.columns.size());
        for (std::size_t i = 0; i < looked_at && run == nullptr; ++i) {
            CellRun& candidate = rows.cells[rows.cells.size() - 1 - i];
            run = candidate.column == cell.column ? &candidate : nullptr;
        }
        if (run != nullptr && run->is_text == cell.is_text && run->last_row + 1 == rows.rows) {
            run->last_row = rows.rows;
            run->last_line = rows.lines;
        } else if (rows.cells.size() < max_listed) {
            rows.cells.push_back({.column = cell.column,
                                  .is_text = cell.is_text,
                                  .text = cell.is_text ? excerpt(cell.text, layout_.encoding) : std::string{},
                                  .first_line = rows.lines,
                                  .last_line = rows.lines,
                                  .first_row = rows.rows,
                                  .last_row = rows.rows});
        }
    }
}

void RowParser::refuse(std::string reason, BlockRows& rows) const {
    ++rows.refused_count;
    if (rows.refused.size() < max_listed) {
        rows.refused.push_back({.line = rows.lines, .reason = std::move(reason)});
    }
}

void RowParser::summarise(BlockRows& rows) const {
    for (std::size_t c = 0; c < rows.values.size(); ++c) {
        ColumnSummary& summary = rows.summaries[c];
        summary.kept = rows.rows - rows.evidence[c].missing - rows.evidence[c].texts;
        if (summary.kept == 0) {
            continue;
        }
        const double* const values = rows.values[c].data();
        double low = std::numeric_limits<double>::infinity();
        double high = -low;
        for (std::size_t r = 0; r < rows.rows; ++r) { // comparisons with NaN are false
            low = values[r] < low ? values[r] : low;
            high = values[r] > high ? values[r] : high;
        }
        summary.min = low;
        summary.max = high;
        rows.max_rows[c] = static_cast<std::size_t>(std::find(values, values + rows.rows, high) - values);
    }
}

} // namespace potwatch::csv
