// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"

#include <optional>
#include <span>

namespace potwatch::cure {

// A degree of cure against time with its 95 % band. Shape: all of one length, time_s ascending.
struct DegreeBand {
    std::span<const double> time_s;
    std::span<const double> degree;
    std::span<const double> low;
    std::span<const double> high;
};

struct GelTime {
    Estimate time_s;
    bool may_not_gel = false; // the lower edge of the band does not reach the gel degree by the end of the trace
};

// When the degree of cure first passes the gel degree [s]. The interval ends where the edges of the band pass it; where
// the lower edge never does, at the end of the trace. Nothing where the degree starts beyond it or does not reach it.
// Assumes: the band's edges move with the degree, as they do where the reference heat carries most of the uncertainty.
[[nodiscard]] std::optional<GelTime> gelTime(const DegreeBand& band, double gel_degree);

} // namespace potwatch::cure
