// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/database.h"

#include <cstdint>
#include <string>

namespace potwatch::book {

// The hash of all that is stated and marked of a run (FORMAT.md, "Hash of the notes"): a check sees by it that a row
// was changed or deleted behind the program's back.
[[nodiscard]] Result<std::string> notesHash(const Database& database, std::int64_t run);

// Keeps it with the run; the last step of each change of its notes, within the caller's transaction.
[[nodiscard]] Result<void> sealNotes(const Database& database, std::int64_t run);

} // namespace potwatch::book
