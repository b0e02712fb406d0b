// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/cell.h"

#include "io/csv/number.h"
#include "io/csv/vocabulary.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <limits>

namespace potwatch::serial {
namespace {

constexpr std::string_view latin1_degree = "\xB0";
constexpr std::string_view utf8_degree = "\xC2\xB0";

bool isDigit(char c) {
    return c >= '0' && c <= '9';
}

bool isLetter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
}

bool isBlank(char c) {
    return c == ' ' || c == '\t';
}

std::string withUtf8Degree(std::string_view text) {
    std::string out(text);
    const std::size_t at = out.find(latin1_degree);
    if (at != std::string::npos && (at == 0 || out[at - 1] != utf8_degree[0])) {
        out.replace(at, 1, utf8_degree);
    }
    return out;
}

// How many bytes at the start of a text may belong to a number.
std::size_t lengthOfNumber(std::string_view text, char decimal) {
    std::size_t at = text.starts_with('-') || text.starts_with('+') ? 1 : 0;
    while (at < text.size() && (isDigit(text[at]) || text[at] == decimal)) {
        ++at;
    }
    // e+01
    const bool has_exponent = at + 4 <= text.size() && (text[at] == 'e' || text[at] == 'E') &&
                              (text[at + 1] == '+' || text[at + 1] == '-') && isDigit(text[at + 2]) &&
                              isDigit(text[at + 3]);
    return has_exponent ? at + 4 : at;
}

// One digit before the mark, as every program writes that writes an exponent.
bool isNormal(std::string_view mantissa, char decimal) {
    if (mantissa.starts_with('-') || mantissa.starts_with('+')) {
        mantissa.remove_prefix(1);
    }
    return mantissa.size() >= 2 && isDigit(mantissa[0]) && mantissa[1] == decimal;
}

bool isOpenWord(std::string_view text, const std::vector<std::string>& more) {
    static constexpr std::array<std::string_view, 24> words{
        "open", "ol",   "o.l",   "o/l",   "o.l.", "over",         "overload", "ovld",
        "ovl",  "err",  "error", "fault", "fail", "burn-out",     "burnout",  "nc",
        "nan",  "-nan", "inf",   "-inf",  "null", "disconnected", "n/a",      "none"};
    const std::string lower = csv::lowercased(text);
    const bool is_dashes = text.size() >= 2 && text.find_first_not_of('-') == std::string_view::npos;
    return is_dashes || std::find(words.begin(), words.end(), lower) != words.end() ||
           std::any_of(more.begin(), more.end(),
                       [&](const std::string& word) { return csv::lowercased(word) == lower; });
}

struct Range {
    double low;
    double high;
};

// What a temperature can be: as the importer has it, -273.15 to 3000 °C.
std::optional<Range> rangeOf(std::string_view unit) {
    if (unit == "degC") {
        return Range{-273.15, 3000.0};
    }
    if (unit == "degF") {
        return Range{-459.67, 5432.0};
    }
    if (unit == "K") {
        return Range{0.0, 3273.15};
    }
    return std::nullopt;
}

// The name that ends before the sign: its last word, with the word before it where that one begins with a letter and
// the last does not ("Probe 1").
std::string_view nameBefore(std::string_view text) {
    text = trimmed(text);
    std::size_t start = text.size();
    const auto isNameByte = [](char c) {
        return isLetter(c) || isDigit(c) || c == '.' || c == '#' || c == '-' || static_cast<unsigned char>(c) >= 0x80;
    };
    while (start > 0 && isNameByte(text[start - 1])) {
        --start;
    }
    if (start < text.size() && isLetter(text[start])) {
        return text.substr(start);
    }
    if (start == text.size() || !isDigit(text[start])) {
        return {};
    }
    std::size_t earlier = start;
    while (earlier > 0 && isBlank(text[earlier - 1])) {
        --earlier;
    }
    const std::size_t end = earlier;
    while (earlier > 0 && isLetter(text[earlier - 1])) {
        --earlier;
    }
    return earlier < end ? text.substr(earlier) : std::string_view();
}

// The text of a value, of all that stands before the name of the next one.
std::string_view valueIn(std::string_view region, char decimal) {
    return trimmed(region.substr(0, region.find_first_of(decimal == ',' ? ";|\t" : ";|\t,")));
}

} // namespace

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && isBlank(text.front())) {
        text.remove_prefix(1);
    }
    while (!text.empty() && isBlank(text.back())) {
        text.remove_suffix(1);
    }
    return text;
}

Cell readCell(std::string_view text, char decimal, const std::vector<std::string>& more_open_words) {
    Cell cell{.value = std::numeric_limits<double>::quiet_NaN()};
    text = trimmed(text);
    if (text.size() >= 2 && (text.front() == '"' || text.front() == '\'') && text.back() == text.front()) {
        text = trimmed(text.substr(1, text.size() - 2));
    }
    if (text.empty()) {
        cell.open = "no value";
        return cell;
    }
    if (isOpenWord(text, more_open_words)) {
        cell.open = std::string(text);
        return cell;
    }
    const std::size_t length = lengthOfNumber(text, decimal);
    const std::string_view number = text.substr(0, length);
    const std::string_view behind = trimmed(text.substr(length));
    const std::size_t exponent = number.find_first_of("eE");
    const std::optional<double> value = csv::readNumber(number, decimal);
    const bool lacks_its_front = number.find_first_of("0123456789") > number.find(decimal);
    if (!value || lacks_its_front || (exponent != std::string_view::npos && !isNormal(number.substr(0, exponent), decimal))) {
        cell.wrong = "is no number";
        return cell;
    }
    if (!behind.empty()) {
        cell.unit = csv::unitOf(withUtf8Degree(behind));
        if (cell.unit.empty()) {
            cell.wrong = "has something behind the number that is no unit";
            return cell;
        }
    }
    const std::size_t mark = number.find(decimal);
    if (exponent == std::string_view::npos) {
        cell.decimals = mark == std::string_view::npos ? 0 : static_cast<int>(length - mark - 1);
        cell.ends_in_zero = mark != std::string_view::npos && number.back() == '0';
    }
    cell.value = *value;
    return cell;
}

std::string objectionTo(const Cell& cell, const LineColumn& column) {
    if (column.decimals && cell.decimals != column.decimals) {
        return fmt::format("does not have {} decimals, as every value has", *column.decimals);
    }
    if (column.unit_follows && *column.unit_follows == cell.unit.empty()) {
        return cell.unit.empty() ? "lacks the unit behind it" : "has a unit behind it, which no value has";
    }
    if (!cell.unit.empty() && !column.unit.empty() && cell.unit != column.unit) {
        return fmt::format("is in {}, not in {}", cell.unit, column.unit);
    }
    if (const std::optional<Range> range = rangeOf(column.unit);
        range && (cell.value < range->low || cell.value > range->high)) {
        return "can be no temperature";
    }
    return {};
}

std::vector<std::string_view> parted(std::string_view line, char separator) {
    std::vector<std::string_view> parts;
    if (separator == ' ') {
        for (line = trimmed(line); !line.empty(); line = trimmed(line)) {
            const std::size_t end = std::min(line.find_first_of(" \t"), line.size());
            parts.push_back(line.substr(0, end));
            line.remove_prefix(end);
        }
        return parts;
    }
    for (;;) {
        const std::size_t end = line.find(separator);
        parts.push_back(trimmed(line.substr(0, end)));
        if (end == std::string_view::npos) {
            return parts;
        }
        line.remove_prefix(end + 1);
    }
}

std::vector<Pair> pairsOf(std::string_view line, char decimal) {
    struct Sign {
        std::string_view key;
        std::size_t value_start;
    };
    std::vector<Sign> signs;
    std::size_t from = 0;
    for (std::size_t at = line.find_first_of("=:"); at != std::string_view::npos;
         at = line.find_first_of("=:", at + 1)) {
        const std::string_view key = nameBefore(line.substr(from, at - from));
        if (!key.empty()) {
            signs.push_back({.key = key, .value_start = at + 1});
            from = at + 1;
        }
    }
    std::vector<Pair> pairs;
    for (std::size_t i = 0; i < signs.size(); ++i) {
        const char* const end = i + 1 < signs.size() ? signs[i + 1].key.data() : line.data() + line.size();
        const std::size_t start = signs[i].value_start;
        const std::size_t length = static_cast<std::size_t>(end - line.data()) - start;
        pairs.push_back({.key = signs[i].key, .value = valueIn(trimmed(line.substr(start, length)), decimal)});
    }
    return pairs;
}

std::string whyNoText(std::string_view line) {
    constexpr const char* no_text = "has bytes that are no text";
    std::size_t at = 0;
    while (at < line.size()) {
        const auto byte = static_cast<unsigned char>(line[at]);
        if ((byte < 0x20 && byte != '\t') || byte == 0x7F) {
            return no_text;
        }
        std::size_t more = 0;
        if (byte >= 0xC2 && byte <= 0xDF) {
            more = 1;
        } else if (byte >= 0xE0 && byte <= 0xEF) {
            more = 2;
        } else if (byte >= 0xF0 && byte <= 0xF4) {
            more = 3;
        } else if (byte >= 0x80 && line.substr(at, 1) != latin1_degree) {
            return no_text;
        }
        for (std::size_t i = 1; i <= more; ++i) {
            if (at + i >= line.size() || (static_cast<unsigned char>(line[at + i]) & 0xC0U) != 0x80U) {
                return no_text;
            }
        }
        at += more + 1;
    }
    return {};
}

std::optional<std::string_view> withoutChecksum(std::string_view line) {
    const std::size_t star = line.rfind('*');
    if (star == std::string_view::npos || star + 3 != line.size()) {
        return std::nullopt;
    }
    unsigned stated = 0;
    const std::string_view digits = line.substr(star + 1);
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), stated, 16);
    const std::string_view content = line.substr(0, star);
    unsigned sum = 0;
    for (const char byte : content.starts_with('$') ? content.substr(1) : content) {
        sum ^= static_cast<unsigned char>(byte);
    }
    return read.ec == std::errc() && read.ptr == digits.data() + digits.size() && sum == stated ? std::optional(content)
                                                                                                : std::nullopt;
}

} // namespace potwatch::serial
