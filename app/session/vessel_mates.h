// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/book/book.h"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace potwatch::session {

// The runs that are analysed together with one, because they teach its vessel's loss: the blanks of the vessel, or
// where there are none the other runs in it, nearest in time first. Few enough for an edit to be answered at once.
// Returns indices into `rows`, ascending; withdrawn runs and those being recorded are none.
[[nodiscard]] std::vector<std::size_t> vesselMates(std::span<const book::RunRow> rows, std::size_t run);

// A short text that differs whenever the findings of the run could: made of its samples, its notes (but for what is
// only written on the plot), and those of its mates.
[[nodiscard]] std::string findingsKey(std::span<const book::RunRow> rows, std::size_t run);

} // namespace potwatch::session
