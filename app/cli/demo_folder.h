// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>

namespace potwatch::cli {

inline constexpr const char* default_demo_folder = "potwatch-demo";

// A folder for the demo to write into, made if need be: the one asked for, or else potwatch-demo (potwatch-demo-2, ...)
// under the current one. A folder that an earlier demo wrote is written again; one with anything else in it is left
// alone. Errors: input (the folder asked for holds other files), storage (cannot be made).
[[nodiscard]] Result<std::string> demoFolder(const std::string& asked);

} // namespace potwatch::cli
