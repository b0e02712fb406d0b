// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/sample.h"

#include "io/csv/number.h"
#include "io/csv/vocabulary.h"

#include <algorithm>

namespace potwatch::csv {
namespace {

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

// yyyymmdd, yyyymmddhhmm or yyyymmddhhmmss, which are also numbers.
bool isBasicDateTime(std::string_view cell) {
    if ((cell.size() != 14 && cell.size() != 12 && cell.size() != 8) ||
        !std::all_of(cell.begin(), cell.end(), isDigit)) {
        return false;
    }
    const auto moment = readMoment(cell);
    return moment && moment->year >= 1970 && moment->year < 2100 &&
           microseconds(*moment, DateOrder::dayFirst).has_value();
}

// Far from every digit? Then it is no number and no time, and the slow looks can be spared.
bool hasDigit(std::string_view cell) {
    return std::any_of(cell.begin(), cell.end(), isDigit);
}

} // namespace

NumberWithUnit splitUnit(std::string_view cell, char decimal) {
    std::size_t end = 0;
    while (end < cell.size() && (isDigit(cell[end]) || cell[end] == decimal || cell[end] == '-' || cell[end] == '+')) {
        ++end;
    }
    const std::string_view number = cell.substr(0, end);
    const std::string_view unit = trimmed(cell.substr(end));
    if (end == 0 || unit.empty() || !readNumber(number, decimal) || (unitOf(unit).empty() && !timeUnit(unit))) {
        return {};
    }
    return {.number = number, .unit = unit};
}

bool looksLikeThousands(std::string_view cell) {
    if (cell.starts_with('-') || cell.starts_with('+')) {
        cell.remove_prefix(1);
    }
    std::size_t group = 0; // digits since the last comma
    std::size_t groups = 0;
    for (const char c : cell) {
        if (isDigit(c)) {
            ++group;
        } else if (c == ',' && group >= 1 && (groups == 0 ? group <= 3 : group == 3)) {
            ++groups;
            group = 0;
        } else {
            return false;
        }
    }
    return groups > 0 && group == 3;
}

CellKind kindOf(std::string_view cell, char decimal) {
    if (isMissingMark(cell)) {
        return CellKind::missing;
    }
    if (!hasDigit(cell)) {
        return CellKind::text;
    }
    if (isBasicDateTime(cell)) {
        return CellKind::moment;
    }
    if (readNumber(cell, decimal)) {
        return CellKind::number;
    }
    if (readMoment(cell)) {
        return CellKind::moment;
    }
    return splitUnit(cell, decimal).number.empty() ? CellKind::text : CellKind::number;
}

std::vector<SampleRow> splitSample(std::string_view sample, char delimiter) {
    std::vector<SampleRow> rows;
    long line = 1;
    while (!sample.empty()) {
        const Record record = takeRecord(sample, delimiter);
        if (!trimmed(record.text).empty()) {
            SampleRow row{.line = line, .text = record.text, .comment = isComment(record.text, delimiter), .cells = {}};
            splitCells(row.comment ? withoutCommentMark(record.text) : record.text, delimiter, row.cells);
            rows.push_back(std::move(row));
        }
        line += record.lines;
    }
    return rows;
}

std::vector<ColumnSample> sampleColumns(const std::vector<SampleRow>& rows, std::size_t first_row, std::size_t width,
                                        Dialect dialect) {
    const char decimal = dialect.decimal;
    std::vector<ColumnSample> columns(width);
    const char other = decimal == '.' ? ',' : '.';
    // First which decimal mark each column uses, then what it holds.
    for (std::size_t r = first_row; r < rows.size(); ++r) {
        const std::size_t count = std::min(width, rows[r].cells.size());
        for (std::size_t c = 0; c < count && !rows[r].comment; ++c) {
            const std::string_view text = rows[r].cells[c].text;
            columns[c].points +=
                text.find('.') != std::string_view::npos && kindOf(text, '.') == CellKind::number ? 1 : 0;
            const bool thousands = dialect.delimiter == ',' && looksLikeThousands(text);
            columns[c].commas +=
                !thousands && text.find(',') != std::string_view::npos && kindOf(text, ',') == CellKind::number ? 1 : 0;
        }
    }
    for (ColumnSample& column : columns) {
        const std::size_t own = decimal == '.' ? column.points : column.commas;
        const std::size_t others = decimal == '.' ? column.commas : column.points;
        column.decimal = others > own ? other : decimal;
    }
    for (std::size_t r = first_row; r < rows.size(); ++r) {
        const std::size_t count = std::min(width, rows[r].cells.size());
        for (std::size_t c = 0; c < count && !rows[r].comment; ++c) {
            ColumnSample& column = columns[c];
            const std::string_view text = rows[r].cells[c].text;
            switch (kindOf(text, column.decimal)) {
            case CellKind::missing:
                ++column.missing;
                break;
            case CellKind::moment:
                ++column.moments;
                column.times.push_back(*readMoment(text));
                break;
            case CellKind::text:
                ++column.texts;
                column.words.push_back(text);
                break;
            case CellKind::number: {
                ++column.numbers;
                const NumberWithUnit split = splitUnit(text, column.decimal);
                if (!split.number.empty() && column.cell_unit.empty()) {
                    column.cell_unit = std::string{split.unit};
                }
                column.values.push_back(
                    readNumber(split.number.empty() ? text : split.number, column.decimal).value_or(0.0));
                break;
            }
            }
        }
    }
    return columns;
}

} // namespace potwatch::csv
