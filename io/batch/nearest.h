// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace potwatch::batch {

// Edits that turn one word into the other: letters put in, left out, changed, or two neighbours swapped; capitals do
// not count. Source: optimal string alignment distance, common practice, no source. Cost: O(length a x length b).
[[nodiscard]] std::size_t editDistance(std::string_view a, std::string_view b);

// Index of the word that was most likely meant; the first of equals. Empty where none is near: a word is near when it
// starts with what was written (a unit left off: "boiling" for "boiling_c"), or when a third of it at most is edited.
[[nodiscard]] std::optional<std::size_t> nearest(std::string_view written, std::span<const std::string> words);

} // namespace potwatch::batch
