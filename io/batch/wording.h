// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::batch {

// A text of the file as it may stand in a one-line message: control characters escaped, cut off with "..." after
// `longest` bytes.
[[nodiscard]] std::string printable(std::string_view text, std::size_t longest);

// The same in quotes, at most 60 bytes of it.
[[nodiscard]] std::string inQuotes(std::string_view text);

// "g", "ml" or "drop": words as an English list.
[[nodiscard]] std::string oneOf(const std::vector<std::string>& words);

} // namespace potwatch::batch
