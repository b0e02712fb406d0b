// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/programme.h"

#include <string>
#include <string_view>

namespace potwatch::forecast {

// Reads "25>80@2/30 80>120@1/60": from 25 to 80 °C at 2 K/min, held for 30 min, and so on; "/30" may be left out.
// Errors: input, with Place::column at the first character that does not belong there (counted from 1).
[[nodiscard]] Result<Programme> programmeOf(std::string_view text);

// The text that programmeOf reads back into an equal programme.
[[nodiscard]] std::string textOf(const Programme& programme);

// How long a programme takes [s].
[[nodiscard]] double durationS(const Programme& programme);

// The air of an oven that follows its programme to the letter.
[[nodiscard]] TemperatureCourse courseOf(const Programme& programme);

} // namespace potwatch::forecast
