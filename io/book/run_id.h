// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace potwatch::book {

// A new UUID of version 4, by chance, in its usual form of 36 characters.
// Source: RFC 4122, 4.4.
[[nodiscard]] std::string newRunId();

[[nodiscard]] bool isRunId(std::string_view text);

} // namespace potwatch::book
