// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>
#include <string_view>

namespace potwatch::session {

// Writes a file whole or not at all: under a temporary name beside it, then renamed over it. What is no plain file (a
// pipe, /dev/null) is written straight. Errors: storage (no such folder, no permission, disk full ...: says which).
[[nodiscard]] Result<void> writeWholeFile(const std::string& path, std::string_view content);

} // namespace potwatch::session
