// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>

namespace potwatch::format {

// A fault as plain sentences, for one who has the run before them and need not be told its file: "Channel t1: only 3
// usable readings, and findings need 16 or more. Record for longer, or choose another channel."
[[nodiscard]] std::string faultText(const Fault& fault);

} // namespace potwatch::format
