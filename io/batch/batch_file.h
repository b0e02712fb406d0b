// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/fault.h"

#include <tl/expected.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::batch {

// Every fault of a batch file, so that a person mends them in one go.
using Faults = std::vector<Fault>;

// Reads a batch file (io/batch/FORMAT.md).
// Errors: storage (cannot be read), unsupported (a newer format), input (not TOML, unknown key with the nearest known
// one, wrong type), range (an impossible value). Each names file and line.
[[nodiscard]] tl::expected<Batch, Faults> readFile(const std::string& path);

// The same for text in memory; `name` stands for the file in messages.
[[nodiscard]] tl::expected<Batch, Faults> readText(std::string_view text, const std::string& name);

// The batch as TOML text that readText turns into an equal batch again (but for Batch::file).
[[nodiscard]] std::string write(const Batch& batch);

} // namespace potwatch::batch
