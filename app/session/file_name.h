// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace potwatch::session {

// A run's name as part of a file's name: "rod-03" for "rod 03"; what does not belong in a file's name becomes a dash.
// A long one is cut, and ends in a number that follows from all of it: endings have room, and two long names stay two.
[[nodiscard]] std::string asFileName(std::string_view run);

} // namespace potwatch::session
