// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <cstdint>
#include <span>
#include <string>

namespace potwatch::book {

// What marks an SQLite file as a batch book: its application_id, "PwBk" in ASCII.
inline constexpr std::int64_t application_id = 0x5077426B;

// One step from a version of the format to the next; the first makes version 1 out of an empty file, and so on.
struct Migration {
    std::string what; // in a few words, kept in the book
    std::string sql;
};

// The steps up to the version that this program writes (FORMAT.md).
[[nodiscard]] std::span<const Migration> migrations();

// What a file is, by its marks.
struct Marks {
    std::int64_t application = 0;
    std::int64_t version = 0;
    bool is_empty = false; // no table in it
};
[[nodiscard]] Result<Marks> marksOf(const Database& database);

[[nodiscard]] Fault newerFault(const std::string& path, std::int64_t version, std::int64_t latest);

// Brings the book to the last of the steps, in one transaction; makes it where the file is empty.
// Errors: unsupported (newer than the steps); storage.
[[nodiscard]] Result<void> bringUpToDate(const Database& database, std::span<const Migration> steps);

} // namespace potwatch::book
