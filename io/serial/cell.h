// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/line_format.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::serial {

// What stands at the place of one value.
struct Cell {
    double value = 0.0;          // NaN where open or wrong
    std::string open;            // the word that says that there is no reading ("OPEN", "no value")
    std::string wrong;           // why it is no value at all
    std::string unit;            // that stands behind the number, as csv::unitOf() spells it
    std::optional<int> decimals; // digits behind the mark; empty where it has an exponent
    bool ends_in_zero = false;   // the last of these
};

// Reads the number, the number with a unit or the word for an open sensor that all of the text says; blanks and quotes
// around it do not count. Numbers are those of csv::readNumber, but with a digit before the mark (".45" is what is left
// of "23.45"), and with an exponent only in the form of "2.34e+01": bytes that went wrong on the line shall not become
// one. Source of the words: common practice, no source.
[[nodiscard]] Cell readCell(std::string_view text, char decimal, const std::vector<std::string>& more_open_words);

// Why a number cannot be right, or nothing: other digits than every value has, a unit that is not the column's, a
// temperature that cannot be.
[[nodiscard]] std::string objectionTo(const Cell& cell, const LineColumn& column);

[[nodiscard]] std::string_view trimmed(std::string_view text);

// The parts of a line between separators; ' ' parts at any number of blanks and tabs.
[[nodiscard]] std::vector<std::string_view> parted(std::string_view line, char separator);

// A name and the text of its value: "T1" and "23.4 °C" of "T1 = 23.4 °C".
struct Pair {
    std::string_view key;
    std::string_view value;
};
// The pairs of a line whose names begin with a letter, marked by = or :, whatever stands between the pairs.
[[nodiscard]] std::vector<Pair> pairsOf(std::string_view line, char decimal);

// Why a line can be no text (control characters, bytes that are no UTF-8), or nothing. The degree sign of Latin-1 is
// text.
[[nodiscard]] std::string whyNoText(std::string_view line);

// The line without its checksum "*5A"; nothing where it has none or a wrong one.
// Source: exclusive or of all bytes before the asterisk, but for a leading $: as in NMEA 0183. From memory.
[[nodiscard]] std::optional<std::string_view> withoutChecksum(std::string_view line);

} // namespace potwatch::serial
