// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"
#include "io/book/database.h"
#include "io/book/schema.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch::book {

// A file that has been opened and found to be a book of the latest format.
struct OpenedDatabase {
    Database database;
    std::vector<std::string> notices;
    std::vector<std::string> losses; // among the notices
};

// Opens a book and brings it to the last of the steps; where it may only be read, it is opened for reading and a notice
// says so. An older book that may only be read is brought up to date in a copy. Errors: as Book::open.
[[nodiscard]] Result<OpenedDatabase> openDatabase(const std::string& path, Access access,
                                                  std::span<const Migration> steps);

} // namespace potwatch::book
