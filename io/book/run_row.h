// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"
#include "io/book/database.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::book {

// What goes into the table of runs when a run begins.
struct RunEntry {
    RunId id;
    std::string name;
    std::optional<WallTime> started;
    RunState state = RunState::complete;
    std::string source_file;
    std::size_t rows_refused = 0;
    Conversion conversion;
    std::string batch_file;
    std::string batch_toml;
};

// Returns the row's number.
[[nodiscard]] Result<std::int64_t> insertRun(const Database& database, const RunEntry& entry);

// Counts, span and hash of the samples that are there now, and the state.
struct RunContent {
    std::size_t samples = 0;
    double span_s = 0.0;
    std::string content_hash;
    RunState state = RunState::complete;
};
[[nodiscard]] Result<void> setContent(const Database& database, std::int64_t run, const RunContent& content);

// The number of a run. Errors: input (no such run).
[[nodiscard]] Result<std::int64_t> numberOf(const Database& database, const RunId& id);

// A run as the list shows it, and what the list does not show.
struct FullRow {
    std::int64_t number = 0;
    RunRow row;
    Conversion conversion;
};
[[nodiscard]] Result<FullRow> readRow(const Database& database, const RunId& id);
[[nodiscard]] Result<std::vector<RunRow>> readRows(const Database& database);

[[nodiscard]] std::string_view nameOf(RunState state);

} // namespace potwatch::book
