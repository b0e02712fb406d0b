// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/header.h"

#include "io/csv/formula.h"
#include "io/csv/vocabulary.h"

#include <algorithm>

namespace potwatch::csv {
namespace {

bool isGood(CellKind kind) {
    return kind == CellKind::number || kind == CellKind::moment;
}

bool isTableRow(const SampleRow& row, std::size_t width) {
    return !row.comment && row.cells.size() == width;
}

// Columns of numbers or times in the lower half of the table, which no line above the table can spoil.
std::vector<bool> readableColumns(const std::vector<SampleRow>& rows, std::size_t width, char decimal) {
    const auto in_table = static_cast<std::size_t>(
        std::count_if(rows.begin(), rows.end(), [width](const SampleRow& row) { return isTableRow(row, width); }));
    std::vector<std::size_t> good(width);
    std::vector<std::size_t> bad(width);
    std::size_t seen = 0;
    for (const SampleRow& row : rows) {
        if (!isTableRow(row, width) || seen++ < in_table / 2) {
            continue;
        }
        for (std::size_t c = 0; c < width; ++c) {
            const CellKind kind = kindOf(row.cells[c].text, decimal);
            const CellKind other = kindOf(row.cells[c].text, decimal == '.' ? ',' : '.');
            good[c] += isGood(kind) || isGood(other) ? 1 : 0;
            bad[c] += kind == CellKind::text && other == CellKind::text ? 1 : 0;
        }
    }
    std::vector<bool> readable(width);
    for (std::size_t c = 0; c < width; ++c) {
        readable[c] = good[c] > 0 && good[c] >= bad[c];
    }
    return readable;
}

bool looksLikeData(const SampleRow& row, const std::vector<bool>& readable, char decimal) {
    if (row.comment || row.cells.size() < 1 || row.cells.size() > readable.size() + 1) {
        return false;
    }
    std::size_t good = 0;
    std::size_t bad = 0;
    bool leading = true;
    for (std::size_t c = 0; c < std::min(row.cells.size(), readable.size()); ++c) {
        if (!readable[c]) {
            continue;
        }
        const CellKind kind = kindOf(row.cells[c].text, decimal);
        const bool is_good = isGood(kind) || isGood(kindOf(row.cells[c].text, decimal == '.' ? ',' : '.'));
        good += is_good ? 1 : 0;
        bad += kind == CellKind::text && !is_good ? 1 : 0;
        if (leading && kind == CellKind::text && !is_good) {
            return false; // "Serial number;12345" above a table of two columns
        }
        leading = false;
    }
    const bool enough = row.cells.size() * 2 >= readable.size();
    return good > 0 && bad <= good && enough;
}

std::size_t widthWithoutEmptyTail(const SampleRow& row) {
    std::size_t width = row.cells.size();
    while (width > 0 && row.cells[width - 1].text.empty()) {
        --width;
    }
    return width;
}

bool isUnitRow(const SampleRow& row) {
    std::size_t units = 0;
    std::size_t others = 0;
    for (const Cell& cell : row.cells) {
        if (!cell.text.empty()) {
            ++(isUnitCell(cell.text) ? units : others);
        }
    }
    return units > 0 && units >= others;
}

// "°C", or what is in the brackets of "Pot (°C)".
std::string unitInCell(const std::string& cell) {
    const std::size_t open = cell.find_first_of("([");
    const std::size_t close = cell.find_last_of(")]");
    if (isUnitCell(cell) || open == std::string::npos || close == std::string::npos || close < open) {
        return cell;
    }
    const std::string inside(trimmed(std::string_view(cell).substr(open + 1, close - open - 1)));
    return isUnitCell(inside) ? inside : cell;
}

// Whether a row above the names tells the units of half of its columns or more.
bool statesUnits(const SampleRow& row, std::size_t width) {
    std::size_t units = 0;
    std::size_t others = 0;
    for (const Cell& cell : row.cells) {
        if (!cell.text.empty()) {
            ++(isUnitCell(unitInCell(std::string(cell.text))) ? units : others);
        }
    }
    return !row.comment && row.cells.size() == width && units > 0 && units >= others;
}

bool isNameRow(const SampleRow& row, std::size_t width, char decimal) {
    const std::size_t own = widthWithoutEmptyTail(row);
    if (own == 0 || (width > 1 && own < 2) || lowercased(row.text.substr(0, 4)) == "sep=" ||
        row.text.substr(0, 5) == "\"sep=") {
        return false;
    }
    std::size_t texts = 0;
    std::size_t moments = 0;
    for (const Cell& cell : row.cells) {
        const CellKind kind = kindOf(cell.text, decimal);
        texts += kind == CellKind::text ? 1 : 0;
        moments += kind == CellKind::moment ? 1 : 0;
        // "# interval: 10 s, probe: 2" is a remark
        if (row.comment && cell.text.find(": ") != std::string_view::npos) {
            return false;
        }
    }
    const bool key_and_value = !row.cells.front().quoted && row.cells.front().text.ends_with(':');
    return texts > 0 && moments == 0 && !key_and_value;
}

// "T1 (°C)" in a table of blanks falls into two cells: what is in brackets belongs to the name before it.
void joinBrackets(std::vector<std::string>& names) {
    for (std::size_t i = 1; i < names.size();) {
        if (names[i].starts_with('(') || names[i].starts_with('[')) {
            names[i - 1] += " " + names[i];
            names.erase(names.begin() + static_cast<std::ptrdiff_t>(i));
        } else {
            ++i;
        }
    }
}

// Names that stand two blanks or more apart.
std::vector<std::string> splitAtWideGaps(std::string_view line, Encoding encoding) {
    std::vector<std::string> names;
    line = trimmed(line);
    while (!line.empty()) {
        const std::size_t gap = std::min(line.find("  "), line.find('\t'));
        names.push_back(toUtf8(trimmed(line.substr(0, gap)), encoding));
        line = gap == std::string_view::npos ? std::string_view{} : trimmed(line.substr(gap));
    }
    return names;
}

std::vector<std::string> cellTexts(const SampleRow& row, Encoding encoding) {
    std::vector<std::string> texts;
    for (const Cell& cell : row.cells) {
        texts.emplace_back(withoutTextMark(toUtf8(unquoted(cell), encoding)));
    }
    return texts;
}

bool mostlyDates(const ColumnSample& column) {
    return column.isMoments() && column.times.front().date != Moment::Date::none && !column.times.front().has_time;
}

bool mostlyTimes(const ColumnSample& column) {
    return column.isMoments() && column.times.front().date == Moment::Date::none;
}

// One name fewer than there are columns: it is the time's, beside a date under "Date Time"; or the row numbers in front
// have none.
void insertMissingName(std::vector<std::string>& names, const std::vector<ColumnSample>& columns, char delimiter) {
    for (std::size_t c = 0; c + 1 < columns.size() && delimiter == ' '; ++c) {
        if (mostlyDates(columns[c]) && mostlyTimes(columns[c + 1])) {
            names.insert(names.begin() + static_cast<std::ptrdiff_t>(c) + 1, "");
            return;
        }
    }
    const ColumnSample& last = columns.back();
    if (last.numbers + last.moments + last.texts == 0) {
        return; // a delimiter at the end of each row
    }
    const std::vector<double>& values = columns.front().values;
    bool counts = values.size() > 1;
    for (std::size_t i = 1; i < values.size(); ++i) {
        counts = counts && values[i] == values[i - 1] + 1.0;
    }
    if (counts) {
        names.insert(names.begin(), "");
    }
}

} // namespace

std::optional<Head> findHead(const std::vector<SampleRow>& rows, std::size_t width, Dialect dialect,
                             Encoding encoding) {
    const std::vector<bool> readable = readableColumns(rows, width, dialect.decimal);
    const auto first = std::find_if(
        rows.begin(), rows.end(), [&](const SampleRow& row) { return looksLikeData(row, readable, dialect.decimal); });
    if (first == rows.end()) {
        return std::nullopt;
    }
    Head head;
    head.first_row = static_cast<std::size_t>(first - rows.begin());

    // Upwards from the data: a row of units perhaps, then the names.
    const SampleRow* unit_row = nullptr;
    const SampleRow* name_row = nullptr;
    constexpr std::size_t rows_looked_at = 4;
    for (std::size_t above = 1; above <= std::min(rows_looked_at, head.first_row) && name_row == nullptr; ++above) {
        const SampleRow& row = rows[head.first_row - above];
        const std::size_t own = row.cells.size();
        const bool right_width = widthWithoutEmptyTail(row) <= width ? own + 1 >= width : above <= 2;
        if (unit_row == nullptr && right_width && isUnitRow(row)) {
            unit_row = &row;
        } else if ((right_width || dialect.delimiter == ' ') && isNameRow(row, width, dialect.decimal)) {
            name_row = &row;
        } else if (!row.comment) {
            break;
        }
    }
    const auto names_at = static_cast<std::size_t>(name_row == nullptr ? 0 : name_row - rows.data());
    if (name_row != nullptr && unit_row == nullptr && names_at > 0 && statesUnits(rows[names_at - 1], width)) {
        unit_row = &rows[names_at - 1]; // the first of two header rows
    }
    if (name_row == nullptr) {
        std::swap(name_row, unit_row); // units alone are names: "s;mV"
    }
    if (name_row != nullptr) {
        head.names = cellTexts(*name_row, encoding);
        head.header_text = std::string{trimmed(name_row->text)};
        if (dialect.delimiter == ' ' && head.names.size() != width) {
            std::vector<std::string> apart =
                splitAtWideGaps(name_row->comment ? withoutCommentMark(name_row->text) : name_row->text, encoding);
            if (apart.size() == width) {
                head.names = std::move(apart);
            } else {
                joinBrackets(head.names);
            }
        }
        while (head.names.size() > width && head.names.back().empty()) {
            head.names.pop_back();
        }
    }
    if (unit_row != nullptr) {
        head.units = cellTexts(*unit_row, encoding);
        std::transform(head.units.begin(), head.units.end(), head.units.begin(), unitInCell);
    }
    const std::size_t columns = std::max(width, head.names.size());
    head.columns = sampleColumns(rows, head.first_row, columns, dialect);
    if (head.names.size() + 1 == columns && name_row != nullptr) {
        insertMissingName(head.names, head.columns, dialect.delimiter);
    }
    head.names.resize(columns);
    head.units.resize(columns);
    return head;
}

} // namespace potwatch::csv
