// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/record.h"

namespace potwatch::csv {
namespace {

bool isBlank(char c) {
    return c == ' ' || c == '\t' || c == '\r';
}

// Blanks that may stand beside a delimiter without being one.
bool isPadding(char c, char delimiter) {
    return c != delimiter && isBlank(c);
}

std::string_view withoutReturn(std::string_view line) {
    while (line.ends_with('\r')) {
        line.remove_suffix(1);
    }
    return line;
}

// Where the quote that opens at `open` closes; npos where it does not.
std::size_t closingQuote(std::string_view text, std::size_t open) {
    for (std::size_t at = text.find('"', open + 1); at != std::string_view::npos; at = text.find('"', at + 2)) {
        if (at + 1 >= text.size() || text[at + 1] != '"') {
            return at;
        }
    }
    return std::string_view::npos;
}

bool isDelimiter(char c, char delimiter) {
    return c == delimiter || (delimiter == ' ' && c == '\t');
}

std::size_t nextDelimiter(std::string_view text, std::size_t from, char delimiter) {
    return delimiter == ' ' ? text.find_first_of(" \t", from) : text.find(delimiter, from);
}

} // namespace

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view no_break_space = "\xC2\xA0";
    while (true) {
        if (!text.empty() && isBlank(text.front())) {
            text.remove_prefix(1);
        } else if (!text.empty() && isBlank(text.back())) {
            text.remove_suffix(1);
        } else if (text.starts_with(no_break_space)) {
            text.remove_prefix(no_break_space.size());
        } else if (text.ends_with(no_break_space)) {
            text.remove_suffix(no_break_space.size());
        } else {
            return text;
        }
    }
}

bool endsInQuotes(std::string_view text, char delimiter) {
    std::size_t at = 0;
    while (at < text.size()) {
        while (at < text.size() && isPadding(text[at], delimiter)) {
            ++at;
        }
        if (at < text.size() && text[at] == '"') {
            const std::size_t close = closingQuote(text, at);
            if (close == std::string_view::npos) {
                return true;
            }
            at = close + 1;
        }
        const std::size_t end = nextDelimiter(text, at, delimiter);
        if (end == std::string_view::npos) {
            return false;
        }
        at = end + 1;
    }
    return false;
}

Record takeRecord(std::string_view& rest, char delimiter) {
    const std::string_view all = rest;
    std::size_t end = all.find('\n');
    const bool last = end == std::string_view::npos;
    const std::string_view line = last ? all : all.substr(0, end);
    rest = last ? std::string_view{} : all.substr(end + 1);
    if (last || line.find('"') == std::string_view::npos || !endsInQuotes(line, delimiter)) {
        return {.text = withoutReturn(line)};
    }
    for (long lines = 2; lines <= max_quoted_lines; ++lines) {
        end = all.find('\n', end + 1);
        const std::string_view longer = all.substr(0, end);
        if (longer.size() > max_quoted_bytes) {
            break;
        }
        if (!endsInQuotes(longer, delimiter)) {
            rest = end == std::string_view::npos ? std::string_view{} : all.substr(end + 1);
            return {.text = withoutReturn(longer), .lines = lines};
        }
        if (end == std::string_view::npos) {
            break;
        }
    }
    return {.text = withoutReturn(line)};
}

void splitCells(std::string_view record, char delimiter, std::vector<Cell>& cells) {
    cells.clear();
    std::size_t at = 0;
    while (true) {
        while (at < record.size() && (isPadding(record[at], delimiter) || (delimiter == ' ' && isBlank(record[at])))) {
            ++at;
        }
        if (delimiter == ' ' && at == record.size()) {
            return;
        }
        std::size_t end = std::string_view::npos;
        bool quoted = false;
        if (at < record.size() && record[at] == '"') {
            const std::size_t close = closingQuote(record, at);
            if (close != std::string_view::npos) {
                std::size_t after = close + 1;
                while (after < record.size() && isPadding(record[after], delimiter)) {
                    ++after;
                }
                quoted = after == record.size() || isDelimiter(record[after], delimiter);
                if (quoted) {
                    cells.push_back({.text = record.substr(at + 1, close - at - 1), .quoted = true});
                    end = after == record.size() ? std::string_view::npos : after;
                }
            }
        }
        if (!quoted) {
            end = nextDelimiter(record, at, delimiter);
            cells.push_back({.text = trimmed(record.substr(at, end == std::string_view::npos ? end : end - at))});
        }
        if (end == std::string_view::npos) {
            return;
        }
        at = end + 1;
    }
}

std::string unquoted(const Cell& cell) {
    std::string text{cell.text};
    if (cell.quoted) {
        for (std::size_t at = text.find("\"\""); at != std::string::npos; at = text.find("\"\"", at + 1)) {
            text.erase(at, 1);
        }
    }
    return text;
}

bool isComment(std::string_view line, char delimiter) {
    line = trimmed(line);
    if (line.empty()) {
        return false;
    }
    const char first = line.front();
    if (first == '#') {
        // "#,time,T1" names a column of row numbers.
        const std::string_view after = trimmed(line.substr(1));
        return delimiter == ' ' || after.empty() || after.front() != delimiter;
    }
    return first == '%' || line.starts_with("//") || (first == ';' && delimiter != ';');
}

std::string_view withoutCommentMark(std::string_view line) {
    line = trimmed(line);
    const std::size_t text = line.find_first_not_of("#%/;! \t");
    return text == std::string_view::npos ? std::string_view{} : line.substr(text);
}

} // namespace potwatch::csv
