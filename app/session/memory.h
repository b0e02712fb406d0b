// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace potwatch::session {

// Bytes that programs may still take without others being driven out; empty where the system does not say.
[[nodiscard]] std::optional<std::uint64_t> freeMemoryBytes();

// The same from the text of the kernel's table ("MemAvailable:   12345 kB").
[[nodiscard]] std::optional<std::uint64_t> freeMemoryIn(std::string_view meminfo);

// What reading a table of that many bytes takes at its peak. A digit or more a byte: the columns are seldom larger than
// the text, and the reader stays under 1.5 times the columns (tests/bench/csv_bench.cpp); a column read later counts.
[[nodiscard]] std::uint64_t bytesToRead(std::uint64_t file_bytes);

// "1.8 GB", "640 MB".
[[nodiscard]] std::string bytesText(std::uint64_t bytes);

// Refuses a file that this machine cannot hold, before it is read.
// Errors: input (says how much it takes, how much is free, and what to do). A file that cannot be looked at is left to
// the reader.
[[nodiscard]] Result<void> checkMemoryFor(const std::string& file, std::optional<std::uint64_t> free_bytes);

} // namespace potwatch::session
