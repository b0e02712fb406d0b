// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"
#include "io/book/database.h"

#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::book {

// As Book::check.
[[nodiscard]] Result<std::vector<std::string>> checkBook(const Database& database, const Progress& progress,
                                                         const std::stop_token& stop);

} // namespace potwatch::book
