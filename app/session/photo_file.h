// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/book/book.h"

#include <string>
#include <string_view>

namespace potwatch::session {

// A picture file as a photo of the book, under the file's own name.
// Errors: input (cannot be read; larger than 64 MB; no picture by its first bytes).
[[nodiscard]] Result<book::Photo> readPhotoFile(const std::string& path);

// "image/jpeg", "image/png", ... by the first bytes of a picture; empty where they are of none that we know.
[[nodiscard]] std::string_view mediaTypeOf(std::string_view bytes);

} // namespace potwatch::session
