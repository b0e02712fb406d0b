// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::csv::testing {

// The table that a text gives; where it gives none, the test fails and an empty table stands in.
inline Table tableOf(std::string_view text, const ImportOptions& options = {}) {
    Result<Table> table = readBytes(text, "run.csv", options);
    if (!table) {
        ADD_FAILURE() << describe(table.error());
        return {};
    }
    return *table;
}

// The one line that a text is refused with; empty (and a failure) where it is read.
inline std::string refusalOf(std::string_view text, const ImportOptions& options = {}) {
    const Result<Table> table = readBytes(text, "run.csv", options);
    if (table) {
        ADD_FAILURE() << "this was read";
        return {};
    }
    return describe(table.error());
}

inline std::vector<std::string> namesOf(const Table& table) {
    std::vector<std::string> names;
    for (const Channel& channel : table.channels) {
        names.push_back(channel.name);
    }
    return names;
}

inline std::vector<std::string> unitsOf(const Table& table) {
    std::vector<std::string> units;
    for (const Channel& channel : table.channels) {
        units.push_back(channel.unit);
    }
    return units;
}

// The first channel's values; missing ones as they are.
inline std::vector<double> valuesOf(const Table& table, std::size_t channel = 0) {
    return channel < table.channels.size() ? table.channels[channel].values : std::vector<double>{};
}

// The lines of a listing.
inline std::vector<long> linesOf(const std::vector<Refusal>& list) {
    std::vector<long> lines;
    for (const Refusal& refusal : list) {
        lines.push_back(refusal.line);
    }
    return lines;
}

// UTF-16 of an ASCII text with degree signs as \xB0.
inline std::string utf16(std::string_view text, bool big_endian, bool with_mark) {
    std::string bytes = with_mark ? (big_endian ? "\xFE\xFF" : "\xFF\xFE") : "";
    for (const char c : text) {
        bytes += big_endian ? std::string{'\0', c} : std::string{c, '\0'};
    }
    return bytes;
}

} // namespace potwatch::csv::testing
