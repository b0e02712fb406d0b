// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <vector>

namespace potwatch::cli {

// Rows of cells as lines of text, each column as wide as its widest cell and two blanks from the next, the whole
// indented by two. The first row is the heading. Shape: as many cells in every row as in the first.
[[nodiscard]] std::string tableText(std::span<const std::vector<std::string>> rows);

} // namespace potwatch::cli
