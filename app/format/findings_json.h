// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"

#include <nlohmann/json_fwd.hpp>

#include <optional>

namespace potwatch::format {

// One run as it stands under "runs" in the JSON of `potwatch analyse`; keys are the fields' names, in a fixed order.
// What is not known is null. Numbers are the shortest that read back as the same double; none is NaN or infinite.
[[nodiscard]] nlohmann::ordered_json findingsJson(const Analysis& analysis);

// {"value","u","low","high"}, or null where the figure is not known.
[[nodiscard]] nlohmann::ordered_json estimateJson(const std::optional<Estimate>& estimate);

} // namespace potwatch::format
