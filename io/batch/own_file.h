// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/batch/document.h"

#include <cstdint>
#include <string>
#include <string_view>

namespace potwatch::batch {

// One of the program's own small TOML files, for reading and for messages.
struct OwnFile {
    std::string_view name = "batch file"; // what it is called
    std::int64_t version = 1;             // the highest that this program reads
};

// The whole file, but never much more than the largest that is read: a device or a pipe may have no end.
// Errors: storage (cannot be read: says why).
[[nodiscard]] Result<std::string> bytesOf(const std::string& path);

// The tree of such a file's text; `path` stands for it in messages. Errors: input (over 1 MB, not UTF-8, not TOML),
// unsupported (a newer version: nothing else in it can be judged).
[[nodiscard]] Result<Table> documentOf(std::string_view text, const std::string& path, const OwnFile& kind);

} // namespace potwatch::batch
