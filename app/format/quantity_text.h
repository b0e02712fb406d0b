// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>
#include <string_view>

namespace potwatch::format {

// A number as a person types it, in the unit of its field: "80", "80,5", "0.08 kg" for a field in g; "2 min" for one in
// s; "3 %" for a fraction (unit ""). Point and comma are both decimal signs; blanks between digits part groups.
// Errors: input (no number, a unit that is not one of the field's, two decimal signs).
[[nodiscard]] Result<double> quantityOf(std::string_view text, std::string_view unit);

// The number as it stands in a field: the fewest digits that read back equal, without exponent where that is short.
[[nodiscard]] std::string fieldText(double value);

} // namespace potwatch::format
