// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/annotation.h"
#include "analysis/values/findings.h"
#include "analysis/values/landmark_kind.h"
#include "app/report/axis.h"
#include "app/report/pyramid.h"

#include <cstddef>
#include <memory>
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
    std::shared_ptr<const Pyramid> pyramid{}; // of value; null: the samples are scanned
};

// A 95 % interval along a trace.
struct PaneBand {
    TraceStyle of = TraceStyle::temperature;
    Samples limits{}; // of the analysis
    double factor = 1.0;
    bool on_right_axis = false;
    std::shared_ptr<const Pyramid> pyramid{}; // of limits

    [[nodiscard]] double low(std::size_t i) const { return factor * limits.low(i); } // as shown
    [[nodiscard]] double high(std::size_t i) const { return factor * limits.high(i); }
};

// How an axis fits what is in view.
struct RangeRule {
    std::vector<double> holds{}; // always within
    double below = 0.08;         // air, as a part of the width
    double above = 0.10;
    double least_width = 1.0;
};

struct Pane {
    PaneKind kind = PaneKind::temperature;
    std::string title{}; // "temperature, °C"
    Range range{};       // of what is shown, with a little air
    RangeRule rule{};
    std::string right_title{};
    std::optional<Range> right_range{};
    RangeRule right_rule{};
    std::vector<PaneTrace> traces{};
    std::vector<PaneBand> bands{};
    std::vector<std::string> notes{}; // lines of the margin, beside the pane
};

// A landmark: a numbered pin on the temperature, its words in the margin.
struct Pin {
    int number = 0;
    double time_s = 0.0;
    double temperature_c = 0.0;
    std::string name{};                 // "onset"
    std::string line{};                 // "onset: 1109 s, 45.2 ± 0.3 °C": all on one line
    std::vector<std::string> lines{};   // the same at leisure, the name first
    std::optional<LandmarkKind> kind{}; // of the hottest exotherm: it can be put elsewhere by hand
    bool by_hand = false;
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
    bool start_by_hand = false;
    bool end_by_hand = false;
};

struct PlotContent {
    std::string title{}; // the run's name
    std::string foot{};  // file, channel, samples
    std::string note{};  // what ± means, version
    Range shown_s{};
    std::span<const double> time_s{};
    std::vector<Pane> panes{};       // temperature first; only what is known
    std::vector<Pin> pins{};         // by time
    std::vector<Span> spans{};       // by start
    std::vector<EventMark> events{}; // by time; those within the drawn range
    std::optional<Shade> boil_plateau{};
    std::vector<Annotation> annotations{}; // in the run's order
};

// What of it is in view: the stretch of time, and the stretch of value of each pane. Shape: as content.panes.
struct PaneView {
    Range range{};
    std::optional<Range> right_range{};

    bool operator==(const PaneView&) const = default;
};
struct PlotView {
    Range shown_s{};
    std::vector<PaneView> panes{};

    bool operator==(const PlotView&) const = default;
};

// The part of the trace worth drawing: from shortly before the first event or landmark to where the pot is back near
// where it ends up, or all of it where that leaves out less than a third. Every landmark, event and annotation is
// within. Errors: none; a trace of one moment gives a range of a second about it.
[[nodiscard]] Range shownRange(const Analysis& analysis);

// with_pyramids: every trace and band gets its pyramid, for content that is looked at more than once. Where it is
// stopped, the content is of no use. Assumes: the analysis outlives what is returned (spans look into its series).
[[nodiscard]] PlotContent plotContent(const Analysis& analysis, bool with_pyramids = false,
                                      const std::stop_token& stop = {});

void addPyramids(PlotContent& content, const std::stop_token& stop = {});

// The whole trace.
[[nodiscard]] Range wholeRange(const PlotContent& content);

// The content as it was made to be seen, and another stretch of time with the value axes fitted to what it holds.
[[nodiscard]] PlotView fittedView(const PlotContent& content);
[[nodiscard]] PlotView viewOf(const PlotContent& content, const Range& shown_s);

// The same, but a value axis stays as it was as long as it holds what is in view without leaving it small: no jitter.
[[nodiscard]] PlotView followedView(const PlotContent& content, const PlotView& before, const Range& shown_s);

// "trace starts at 0 s", "trace continues to 2 h": what of the trace lies outside the view; else empty.
struct LeftOut {
    std::string before{};
    std::string after{};
};
[[nodiscard]] LeftOut leftOut(const PlotContent& content, const Range& shown_s);

} // namespace potwatch::report