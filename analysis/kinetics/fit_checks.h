// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"
#include "analysis/kinetics/start_values.h"
#include "analysis/values/fault.h"

#include <optional>
#include <span>

namespace potwatch::kinetics {

// Why these runs cannot be fitted together, and what to do; nothing where they can.
[[nodiscard]] std::optional<Fault> unfit(std::span<const findings::RunStudy> studies, bool find_catalyst_order);

// A cure that is hardly seen, or only in a few points, says nothing of its law.
[[nodiscard]] std::optional<Fault> tooFewData(std::span<const RateSample> samples);

} // namespace potwatch::kinetics
