// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"
#include "io/book/database.h"

#include <cstdint>
#include <string>
#include <vector>

namespace potwatch::book {

// Puts photos to a run, in place of those that have the same names.
[[nodiscard]] Result<void> writePhotos(const Database& database, std::int64_t run, const std::vector<Photo>& photos);

[[nodiscard]] Result<std::vector<std::string>> readPhotoNames(const Database& database, std::int64_t run);

// Errors: input (the run has no photo of that name; it is damaged).
[[nodiscard]] Result<Photo> readPhoto(const Database& database, std::int64_t run, const std::string& name);

} // namespace potwatch::book
