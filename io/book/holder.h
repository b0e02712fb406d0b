// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace potwatch::book {

// Whether some process, this one included, has the book open at the moment, as far as the system's table of locks says.
[[nodiscard]] bool isHeldOpen(const std::string& path);
// Whether the log that lies beside it is in use: where the book is not, by a book that was moved away from there.
[[nodiscard]] bool isLogHeldOpen(const std::string& path);

// The other process that keeps the book from being changed, in words: "the program sqlite3 (process 4711)"; empty where
// it cannot be told. Never opens the book itself: closing it again would drop the locks that this process has on it
// (SQLite, "How To Corrupt An SQLite Database File", 2.2).
[[nodiscard]] std::string describeHolder(const std::string& path);

} // namespace potwatch::book
