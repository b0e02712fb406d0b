// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/landmarks/baseline.h"
#include "analysis/landmarks/curves.h"
#include "analysis/landmarks/spans.h"
#include "analysis/values/trace.h"

#include <optional>
#include <vector>

namespace potwatch::landmarks {

// Where a rise breaks off, a window reads its steepest rate high by up to twice this share of the fall behind it: 0 to
// 2.3 % in noise-free pots that boil with 0.02 to 0.2 g/(s K) from 120 K/min, whatever the window.
inline constexpr double overshoot_of_fall = 0.01;

// Landmarks that a person put at these times; they stand there whatever the trace says.
struct ByHand {
    std::optional<double> first_deviation_s;
    std::optional<double> onset_s;
    std::optional<double> steepest_s;
    std::optional<double> peak_s;
    std::optional<double> end_s;

    bool operator==(const ByHand&) const = default;
};

// One rise of temperature from a baseline to a peak, in plain numbers.
struct Rise {
    double from_s = 0.0;   // the valley, or the start of the trace, before it
    double valley_s = 0.0; // where the temperature begins to rise, at the latest: the peak lies after it
    double to_s = 0.0;     // the valley, or the end of the trace, after it
    Baseline baseline;
    double first_deviation_s = 0.0;
    double steepest_s = 0.0;
    double steepest_c = 0.0;
    double steepest_k_per_s = 0.0;
    double onset_s = 0.0;
    double onset_c = 0.0;
    double peak_s = 0.0;
    double peak_c = 0.0;
    bool ends_rising = false;   // the trace ends before a peak: peak is the highest temperature of the trace
    bool follows = false;       // something rose or heated the pot before it: its baseline is where that left the pot
    bool starts_rising = false; // the trace begins in the rise: no baseline before it, no onset
    double corner = 0.0;        // 0: a rounded top; 1: the rise breaks off there, as where the pot begins to boil
    ByHand by_hand;
};

// All rises of a trace by the cure, in order of time, as cureSpans() finds them where they stand out of the noise. The
// baseline of one that follows on what heated the pot is that heating: the measured surroundings, or the temperature at
// the dose. Shape: reading and curves belong together. The first baseline ends where the dose starts, where it is
// known.
[[nodiscard]] std::vector<Rise> findRises(TraceView reading, const Curves& curves, double lag_s,
                                          const Heating& heating = {});

// Which of the rises peaks hottest; of equals the first. Assumes: there is one.
[[nodiscard]] std::size_t hottestOf(const std::vector<Rise>& rises);

// Steepest point, onset and peak of one rise on another course of the same trace (another lag): the places are looked
// for near where the rise has them; what was put by hand stays, and what hangs on it is looked for anew (the steepest
// point lies before the peak, the onset on the tangent at the steepest point). Where the rise breaks off, the window
// reads a steepest rate high by 0 to 2 % of the fall behind it, half of which is taken off.
[[nodiscard]] Rise locate(const Rise& rise, const Course& course, const Curves& curves);

// Onset time [s]: where the baseline meets the tangent at the steepest point.
// Source: ISO 11357-1 (extrapolated onset), applied to temperature against time.
[[nodiscard]] double onsetTime(const Baseline& baseline, double steepest_s, double steepest_c, double steepest_k_per_s);

} // namespace potwatch::landmarks
