// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <string>

namespace potwatch::book {

// As Book::copyTo: under a temporary name first, so that the copy is there whole or not at all.
// Errors: input (there is something of that name already); storage.
[[nodiscard]] Result<void> copyBook(const Database& database, const std::string& path);

} // namespace potwatch::book
