// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book_copy.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>

namespace potwatch::book {

// Whether the log beside a book that nobody has open is the book's own. SQLite itself asks only whether the log is
// sound, and writes what it holds over the pages of whatever book lies beside it.
struct LogVerdict {
    enum class Kind {
        nothing,  // no log, or none with a whole change in it: SQLite passes it over
        own,      // it goes on from this book
        stranger, // it does not, or nothing in it can be used: the book is what its file holds
        unclear   // neither the book alone nor the book with its log can be read
    };
    Kind kind = Kind::nothing;
    std::optional<Log> log;

    // What is known to be lost of the book's own log.
    [[nodiscard]] bool isDamaged() const { return log && (log->changesLost() > 0 || log->framesCutOff() > 0); }
    // Whether SQLite by itself takes from the log all that can be had, and no more.
    [[nodiscard]] bool isReadable() const { return log && log->isPlain(); }
};

// A log is the book's own where one of its changes says that it follows the mark that the book's file bears, or made
// that mark (FORMAT.md, `mark`). Where that cannot be told, the two are put together in a copy: it must be sound, and
// have every finished run of the book alone, unchanged. `book` is the file itself, no link to it; nobody has it open.
// Errors: storage (no room for the copy).
[[nodiscard]] Result<LogVerdict> judgeLog(const std::string& book);

// The size of the pages of a book's file; 0 where that cannot be read.
[[nodiscard]] std::size_t pageSizeOf(const std::string& book);

// Gives the log beside the book another name, NAME-wal-kept-1 or the next that is free; says which.
// With `usable`, what can be used of it is put in its place. Errors: storage.
[[nodiscard]] Result<std::string> setLogAside(const std::string& book, const Log* usable);

} // namespace potwatch::book
