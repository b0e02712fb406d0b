// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/event.h"

#include <string>

namespace potwatch::format {

// A moment in ISO 8601: with its offset where one is known ("2026-03-14T10:05:00+01:00"), else as the local time it was
// read as.
[[nodiscard]] std::string wallTimeText(const WallTime& time);

} // namespace potwatch::format
