// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/estimate.h"
#include "analysis/values/event.h"
#include "analysis/values/findings.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::compare {

// A trace thinned for an overlay: the lowest and the highest temperature of stretches that are equal in time and change
// of temperature taken together, so that no peak is cut off and a fast rise stays smooth. Shape: both of one length, at
// most most_curve_points; time_s ascending; no NaN.
struct Curve {
    std::vector<double> time_s;
    std::vector<double> temperature_c;

    bool operator==(const Curve&) const = default;
};
inline constexpr std::size_t most_curve_points = 600;

// What a comparison needs of one run; small, so that hundreds are kept and compared again at every choice.
struct ComparedRun {
    std::string name;
    std::string file;    // empty for a run of the book
    std::string content; // equal for equal samples: the same run twice is noticed by it; empty = not known
    Batch batch;
    Findings findings;
    std::vector<Event> events;
    std::optional<Estimate> start_c; // temperature of the pot at the start of the trace
    Curve curve;

    bool operator==(const ComparedRun&) const = default;
};

// From what the analysis gave. Cost: O(samples), once a run.
[[nodiscard]] ComparedRun comparedRun(const Batch& batch, const Analysis& analysis, std::string content = {});

// A temperature of the run without what is common to all runs of one probe, the thermocouple's own error: differences
// and trends between runs keep their sharpness.
[[nodiscard]] Estimate withoutCommonError(const ComparedRun& run, const Estimate& temperature);

} // namespace potwatch::compare
