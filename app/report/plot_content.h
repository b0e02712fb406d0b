// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/findings.h"
#include "app/report/axis.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace potwatch::report {

// What a plot of one run says, in data coordinates and finished words, before anything is laid out or drawn. Needs no
// Qt.

// How a trace is drawn; no meaning rests on colour alone.
enum class TraceStyle {
    temperature, // ink, thick
    reading,     // grey, thin, behind the temperature
    rate,        // vermilion, dashed
    heat_flow,   // green, filled down to zero
    heat,        // ink, thin
    degree       // purple, steps
};

struct PaneTrace {
    TraceStyle style = TraceStyle::temperature;
    std::string label{};             // for the key: "resin, corrected for lag"
    std::span<const double> value{}; // of the analysis; as long as the plot's time_s
    double factor = 1.0;             // shown = value * factor
    bool on_right_axis = false;
};

// A 95 % interval along a trace.
struct PaneBand {
    TraceStyle of = TraceStyle::temperature;
    std::vector<double> low{}; // as shown (the factor is in it)
    std::vector<double> high{};
    bool on_right_axis = false;
};

struct Pane {
    PaneKind kind = PaneKind::temperature;
    std::string title{}; // "temperature, °C"
    Range range{};       // of what is shown, with a little air
    std::string right_title{};
    std::optional<Range> right_range{};
    std::vector<PaneTrace> traces{};
    std::vector<PaneBand> bands{};
    std::vector<std::string> notes{}; // lines of the margin, beside the pane
};

// A landmark: a numbered pin on the temperature, its words in the margin.
struct Pin {
    int number = 0;
    double time_s = 0.0;
    double temperature_c = 0.0;
    std::string name{};               // "onset"
    std::string line{};               // "onset: 1109 s, 45.2 ± 0.3 °C": all on one line
    std::vector<std::string> lines{}; // the same at leisure, the name first
};

// A stretch between two moments, drawn as a dimension line.
struct Span {
    double from_s = 0.0;
    double to_s = 0.0;
    std::string text{}; // "exotherm 4 min 10 s, +61 K"
};

struct EventMark {
    double time_s = 0.0;
    std::string text{};
};

// A stretch of time shaded in the temperature pane.
struct Shade {
    double from_s = 0.0;
    double to_s = 0.0;
    std::string text{};
};

struct PlotContent {
    std::string title{}; // the run's name
    std::string foot{};  // file, channel, samples
    std::string note{};  // what ± means, version
    Range shown_s{};
    std::string before{}; // "trace starts at 0 s" where the drawn range leaves something out, else empty
    std::string after{};  // "trace continues to 2 h"
    std::span<const double> time_s{};
    std::vector<Pane> panes{};       // temperature first; only what is known
    std::vector<Pin> pins{};         // by time
    std::vector<Span> spans{};       // by start
    std::vector<EventMark> events{}; // by time; those within the drawn range
    std::optional<Shade> boil_plateau{};
};

// The part of the trace worth drawing: from shortly before the first event or landmark to where the pot is back near
// where it ends up, or all of it where that leaves out less than a third. Every landmark and event is within. Errors:
// none; a trace of one moment gives a range of a second about it.
[[nodiscard]] Range shownRange(const Analysis& analysis);

// Assumes: the analysis outlives what is returned (spans look into its series).
[[nodiscard]] PlotContent plotContent(const Analysis& analysis);

} // namespace potwatch::report
