// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/at_limit.h"
#include "analysis/compare/trend.h"

#include <optional>
#include <span>

namespace potwatch::compare {

// Why a rate is the next one to try.
enum class NextReason {
    stays_under,   // the fastest whose one more run stays under the limit
    between,       // no rate that was tried is sure of that yet: halfway from the fastest under the limit to the limit
    repeat,        // the runs stray too far from the trend to say more: one of the slow ones again
    step_up,       // the limit lies beyond what was tried: one step above the fastest run
    step_down,     // every run went over the limit: a step below the slowest
    all_boiled,    // every run boiled: half of the slowest
    one_run_under, // one run tells no trend; it stayed under: a step up
    one_run_over   // likewise, over: half of it
};

struct NextRate {
    double rate = 0.0; // in the unit of x
    double from = 0.0; // of the run that the reason speaks of: the fastest that stayed under, or the slowest
    NextReason reason = NextReason::stays_under;
    std::optional<Estimate> expected; // y of one more run at that rate, with the prediction band; empty without a trend
};

// The next rate to try so that the peak comes near the limit from below: never more than half as fast again as the
// fastest run that stayed under the limit, nor less than half the slowest run. Empty where there are no points, or
// where the trend does not rise with x. Common practice, no source.
[[nodiscard]] std::optional<NextRate> nextRate(std::span<const TrendPoint> points, const Trend* trend,
                                               const AtLimit* at_limit, double limit);

} // namespace potwatch::compare
