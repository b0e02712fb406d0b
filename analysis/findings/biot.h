// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"

#include <optional>
#include <string>

namespace potwatch::findings {

// What to say of a piece whose core and skin differ so much that a balance for one temperature does not hold; nothing
// where they do not, or were not both measured. Biot number from core and skin probes: heat conducted to the skin is
// lost there, (T_core - T_skin) / (T_skin - Te) = Bi / 2 for a slab in quasi-steady cooling.
[[nodiscard]] std::optional<std::string> biotWarning(const RunStudy& study);

} // namespace potwatch::findings
