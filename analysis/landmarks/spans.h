// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/landmarks/curves.h"
#include "analysis/values/trace.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace potwatch::landmarks {

// What heats a pot besides its cure, as far as it is known.
struct Heating {
    TraceView surroundings_c;           // as measured beside the pot; empty where they are not
    std::optional<double> dose_start_s; // nothing: not known
    bool dose_cures = true;             // what is dosed is what the cure needs: before it nothing cures
    bool loss_known = false;            // stated: the heat balance then tells the cure's part of a rise by itself
};

// One rise of the temperature by the cure, in knots of Course::time_s.
struct Span {
    std::size_t from = 0;        // the valley before it, or where the pot became warmer than what heats it
    std::size_t peak = 0;        // its highest temperature
    std::size_t next_valley = 0; // after it, or the end of the trace
    bool from_start = false;     // nothing rose before it
    bool over_heating = false;   // from is where the pot became warmer than its surroundings
};

// The rises of a course by the cure, in order of time: each of at least least_k, and of at least a tenth of the
// largest. A valley between two rises is as deep as that, or the temperature comes to a stand in it. What an oven or a
// bath did (a pot that stays colder than its measured surroundings) and what rose before the dose is left out, and does
// not count as the largest. Source: common practice, no source.
[[nodiscard]] std::vector<Span> cureSpans(const Course& course, const Curves& curves, double least_k,
                                          const Heating& heating);

} // namespace potwatch::landmarks
