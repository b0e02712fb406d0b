// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string_view>

namespace potwatch::csv {

// Names of months and weekdays in lower case: English in full or shortened to three letters and more, and the short
// names of months in some neighbouring languages.

// 1 to 12, or 0 where it is none.
[[nodiscard]] int monthNamed(std::string_view word);

[[nodiscard]] bool isWeekday(std::string_view word);

} // namespace potwatch::csv
