// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv {

// How cells stand in a line. Delimiter ' ' means any run of blanks.
struct Dialect {
    char delimiter = ',';
    char decimal = '.';

    bool operator==(const Dialect&) const = default;
};

// One row of text: a line, or several where a quoted cell holds line ends. Without its last line end.
struct Record {
    std::string_view text;
    long lines = 1;
};

// One cell without blanks around it and without its quotes; a doubled quote inside stays doubled (unquoted() halves
// it).
struct Cell {
    std::string_view text;
    bool quoted = false;
};

// A quoted cell may hold this many line ends; a quote that is open for longer is taken as a character.
inline constexpr long max_quoted_lines = 32;
inline constexpr std::size_t max_quoted_bytes = 16 * 1024;

// Takes the next record off `rest`, which must not be empty. Where `rest` ends within a quoted cell, the line stands
// alone.
[[nodiscard]] Record takeRecord(std::string_view& rest, char delimiter);

// True where the text ends within a cell that began with a quote.
[[nodiscard]] bool endsInQuotes(std::string_view text, char delimiter);

// The cells of a record, written over what `cells` held.
void splitCells(std::string_view record, char delimiter, std::vector<Cell>& cells);

// A cell's text with doubled quotes halved.
[[nodiscard]] std::string unquoted(const Cell& cell);

// Without the blanks around it (space, tab, no-break space, carriage return).
[[nodiscard]] std::string_view trimmed(std::string_view text);

// True for a line that is a comment: it begins with #, %, // or (where it does not delimit) a semicolon. "#" alone in
// the first cell is the name of a row-number column, not a comment.
[[nodiscard]] bool isComment(std::string_view line, char delimiter);

// A comment's text.
[[nodiscard]] std::string_view withoutCommentMark(std::string_view line);

} // namespace potwatch::csv
