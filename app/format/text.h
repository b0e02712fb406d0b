// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace potwatch::format {

// Text from a file or a person made fit to be shown on one line: valid UTF-8 (what is not becomes U+FFFD), control
// characters and line breaks as single spaces, none at either end. What it returns may stand in XML once escaped.
[[nodiscard]] std::string oneLine(std::string_view text);

// The text cut to at most that many characters (code points), the last one an ellipsis where something was cut.
// Assumes: valid UTF-8.
[[nodiscard]] std::string shortened(std::string_view text, std::size_t most_characters);

// The text with & < > " and ' as entities, for HTML and XML.
[[nodiscard]] std::string escaped(std::string_view text);

// The last part of a path: "cure.csv" of "runs/cure.csv".
[[nodiscard]] std::string fileNameOf(std::string_view path);

} // namespace potwatch::format
