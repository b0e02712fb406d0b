// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::csv {

// How people and messages speak of columns.

// The column that a person means by a name (case and outer blanks aside) or a number counted from 1.
[[nodiscard]] std::optional<std::size_t> columnMeant(const std::string& said, const std::vector<std::string>& names);

// "T1" in quotes, or column 3 where it has no name.
[[nodiscard]] std::string columnTitle(const std::vector<std::string>& names, std::size_t column);

// The titles of all, or of a dozen and how many more there are.
[[nodiscard]] std::string columnList(const std::vector<std::string>& names);

} // namespace potwatch::csv
