// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>

namespace potwatch {

// The quantity against time that an annotation is written on: one of the stacked panes of a plot.
enum class PaneKind { temperature, rate, heat_flow, degree };

enum class AnnotationKind { text, arrow, span };

// Something written on a run's plot by a person, in data coordinates, so that it stays with the trace at every zoom and
// on every export. A text stands at (time_s, value). An arrow points to (time_s, value) and its text stands at
// (to_time_s, to_value). A span is a dimension line at the height `value` from time_s to to_time_s.
// Units: °C, K/min, W or degree of cure, as the pane's.
struct Annotation {
    AnnotationKind kind = AnnotationKind::text;
    PaneKind pane = PaneKind::temperature;
    double time_s = 0.0;
    double value = 0.0;
    double to_time_s = 0.0;
    double to_value = 0.0;
    std::string text;

    bool operator==(const Annotation&) const = default;
};

} // namespace potwatch
