// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/cure/degree.h"
#include "analysis/cure/gel_time.h"
#include "analysis/findings/analyse_run.h"
#include "analysis/landmarks/curves.h"
#include "analysis/values/findings.h"

#include <optional>

namespace potwatch::findings {

// The heat that a piece released when it was cured first, per gram as this run's; nothing where that is not known.
[[nodiscard]] std::optional<FirstHeating> firstHeatingFor(const RunStudy& second, const RunStudy& first);

// When this run's degree of cure passes the gel degree that the batch states; nothing where it states none.
[[nodiscard]] std::optional<cure::GelTime> gelTimeOf(const RunStudy& study, const cure::Reference& reference);

// Time at the reference temperature that cures as far, from the start of the dose (of the trace, where none is dosed)
// to the end of the trace.
[[nodiscard]] EquivalentTime equivalentTimeOf(const RunStudy& study, const landmarks::Course& course,
                                              const EquivalentAt& asked);

} // namespace potwatch::findings
