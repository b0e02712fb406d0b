// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"
#include "io/book/database.h"

#include <cstdint>
#include <string>

namespace potwatch::book {

// The batch as it stands in the book: the text of a batch file, without its events, which have a table of their own.
// `path` is the book's, for messages.
// Errors: input, range (the batch file's own rules: a person mends what they stated).
[[nodiscard]] Result<std::string> batchText(const Batch& batch, const std::string& path);

// Errors: input (a figure that is not finite, two overrides of one landmark).
[[nodiscard]] Result<void> checkNotes(const Notes& notes, const std::string& path);

// Replaces overrides, annotations and tags; events that are gone stay as withdrawn. Within the caller's transaction.
// Assumes: checkNotes() found nothing.
[[nodiscard]] Result<void> writeNotes(const Database& database, std::int64_t run, const Notes& notes);

// Reads them back; the batch from its text and its file's name.
// Errors: input (what is there cannot be read).
[[nodiscard]] Result<Notes> readNotes(const Database& database, std::int64_t run, const std::string& batch_toml,
                                      const std::string& batch_file);

} // namespace potwatch::book
