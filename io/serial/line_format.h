// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::serial {

// How the lines of a device are built.
enum class LineStyle {
    fields,    // 23.4;24.1   values between separators
    key_value, // T1=23.4 T2=24.1
    json,      // {"core": 23.4, "skin": 24.1}; nested names are joined by points: "probe.core", "t.1"
    pattern    // a regular expression whose groups are the values
};

// One channel of a line: where its value stands, and what it is called. The unit is that of the values as received:
// "degC", "degF", "K", "mV", "%", "s" ...; empty = not known.
struct LineColumn {
    std::size_t field = 0; // fields: place in the line from 1; pattern: the group, from 1
    std::string key;       // key_value, json: the name that it goes by in the line
    std::string name;      // of the channel
    std::string unit;
    std::optional<int> decimals;      // digits behind the mark where every value has so many; another number is refused
    std::optional<bool> unit_follows; // whether the unit stands behind each value; empty = either way

    bool operator==(const LineColumn&) const = default;
};

struct LineFormat {
    LineStyle style = LineStyle::fields;
    char separator = ' ';   // fields: ' ' = blanks and tabs, any number of them
    char decimal = '.';     // or ','
    std::string pattern;    // pattern: ECMAScript grammar
    std::size_t fields = 0; // fields: how many a line has; 0 = any number that holds all columns
    bool checksum = false;  // each line ends in '*' and the exclusive or of the bytes before it as two hex digits
    std::vector<std::string> open_words; // besides the usual ones: what stands where a sensor is open
    std::vector<double> open_values;     // numbers that mean the same ("-127"); never taken so unless stated
    std::vector<LineColumn> columns;

    bool operator==(const LineFormat&) const = default;
};

} // namespace potwatch::serial
