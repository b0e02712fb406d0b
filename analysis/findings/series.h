// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/cure/degree.h"
#include "analysis/findings/analyse_run.h"
#include "analysis/findings/power.h"

#include <optional>
#include <vector>

namespace potwatch::findings {

// The traces behind the findings, at the samples (at every nth of a very long run). Empty: power where the loss is not
// known, reference where the degree of cure is not.
[[nodiscard]] Series seriesOf(const RunStudy& study, const landmarks::Course& course, const std::optional<Power>& power,
                              const std::optional<cure::Reference>& reference);

// The batch's events, and the dose's start and end where the batch does not list them; in the order of time.
[[nodiscard]] std::vector<Event> eventsOf(const RunStudy& study, const landmarks::Course& course);

} // namespace potwatch::findings
