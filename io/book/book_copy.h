// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/book/log.h"

#include <memory>
#include <string>

namespace potwatch::book {

// A copy of a book in a folder of its own, with a log or without, to be looked at in the book's place: whatever SQLite
// does to it, the book and its log stay as they are. It is gone when this is gone.
class BookCopy {
public:
    // Of a book that nobody has open. `log`: what is usable of it lies beside the copy; null: none.
    // Errors: storage (no room, neither in the folder of temporary files nor beside the book).
    [[nodiscard]] static Result<std::shared_ptr<const BookCopy>> make(const std::string& book, const Log* log);

    [[nodiscard]] const std::string& path() const { return path_; }

    explicit BookCopy(std::string folder);
    ~BookCopy();
    BookCopy(const BookCopy&) = delete;
    BookCopy& operator=(const BookCopy&) = delete;

private:
    std::string folder_;
    std::string path_;
};

} // namespace potwatch::book
