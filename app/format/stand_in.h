// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"

#include <string>
#include <string_view>

namespace potwatch::format {

// What the analysis uses where a field of the batch is empty.
struct StandIn {
    std::string value;    // "0.5"; empty where nothing stands in
    std::string sentence; // "Not stated; a default of 0.5 K is used."
};

// field: "uncertainty.surroundings_k", as io/batch names it.
[[nodiscard]] StandIn standInFor(std::string_view field, const Findings& findings);

} // namespace potwatch::format
