// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/batch.h"
#include "analysis/values/event.h"
#include "analysis/values/landmark_kind.h"
#include "analysis/values/trace.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch {

// One cure: its times, its traces as received, and what the person states about it.
// Shape: every channel has as many values as time_s; time_s in the order received (it may repeat or step back).
struct Run {
    std::string name;
    std::string file;
    std::optional<WallTime> started;
    std::vector<double> time_s; // seconds from the first kept row
    std::vector<Channel> channels;
    std::size_t rows_refused = 0;
    Batch batch;
    std::vector<LandmarkOverride> overrides; // at most one a landmark
    std::vector<Annotation> annotations;

    bool operator==(const Run&) const = default;
};

} // namespace potwatch
