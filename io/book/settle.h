// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/belonging.h"
#include "io/book/database.h"

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

namespace potwatch::book {

// What is known to be lost of a damaged log.
struct LogLosses {
    std::string text;
    std::map<std::int64_t, std::size_t> samples_seen; // as Log::samplesSeen()

    [[nodiscard]] bool isAny() const { return !text.empty(); }
};

// The same in one sentence, with the samples of each run that the log tells of and the book, as it is now, has not.
[[nodiscard]] std::string tellLosses(const Database& database, const LogLosses& losses);

// How a log is dealt with that SQLite by itself would not read right. One that it does is left to it, but for `copy`.
enum class LogHandling {
    leave,     // the book is read in a copy; nothing beside it is touched
    copy,      // ... and so it is with any log: the folder may not be written
    set_aside, // the log gets another name, and what can be used of it takes its place
};

struct Settled {
    LogVerdict::Kind kind = LogVerdict::Kind::nothing;
    std::shared_ptr<const BookCopy> copy; // to be read in the book's place; null: the book itself
    std::vector<std::string> notices;
    LogLosses losses;
};

// Deals with the log beside a book that nobody has open: nothing is written into the book, and no log taken away,
// before the two are known to belong together. `path` is the book's name for messages, `file` the file itself. Errors:
// input (the book is damaged, and its log too), storage.
[[nodiscard]] Result<Settled> settle(const std::string& path, const std::string& file, LogHandling handling);

} // namespace potwatch::book
