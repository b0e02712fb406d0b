// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/number.h"
#include "app/report/plot_content.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::report {
namespace {

// The least range that holds what it was given.
class Extent {
public:
    void take(double value) {
        if (std::isfinite(value)) {
            low_ = any_ ? std::min(low_, value) : value;
            high_ = any_ ? std::max(high_, value) : value;
            any_ = true;
        }
    }
    void take(const Samples& samples, const Pyramid* pyramid, double factor, std::pair<std::size_t, std::size_t> part) {
        const Extremes all = pyramid != nullptr ? pyramid->extremes(samples, part.first, part.second)
                                                : extremesOf(samples, part.first, part.second);
        if (!all.empty()) {
            take(factor * static_cast<double>(all.low));
            take(factor * static_cast<double>(all.high));
        }
    }
    [[nodiscard]] Range range() const { return {.low = low_, .high = high_}; }

private:
    double low_ = 0.0;
    double high_ = 0.0;
    bool any_ = false;
};

// With the air of the rule.
Range padded(Range range, const RangeRule& rule) {
    // At values as large as this the width must be one that a double can hold.
    const double least = std::max(rule.least_width, 1e-9 * std::max(std::abs(range.low), std::abs(range.high)));
    if (range.width() < least) {
        const double middle = 0.5 * (range.low + range.high);
        range = {.low = middle - 0.5 * least, .high = middle + 0.5 * least};
    }
    return {.low = range.low - rule.below * range.width(), .high = range.high + rule.above * range.width()};
}

bool isWithin(double time_s, const Range& shown_s) {
    return time_s >= shown_s.low && time_s <= shown_s.high;
}

// What one axis of a pane must hold, without air.
Range heldRange(const PlotContent& content, const Pane& pane, bool right, const Range& shown_s) {
    Extent extent;
    for (const double value : (right ? pane.right_rule : pane.rule).holds) {
        extent.take(value);
    }
    const auto begin = std::lower_bound(content.time_s.begin(), content.time_s.end(), shown_s.low);
    const auto end = std::upper_bound(begin, content.time_s.end(), shown_s.high);
    const std::pair<std::size_t, std::size_t> part{static_cast<std::size_t>(begin - content.time_s.begin()),
                                                   static_cast<std::size_t>(end - content.time_s.begin())};
    for (const PaneTrace& trace : pane.traces) {
        if (trace.on_right_axis == right) {
            extent.take(samplesOf(trace.value), trace.pyramid.get(), trace.factor, part);
            for (const double edge_s : {shown_s.low, shown_s.high}) { // where few samples are in view
                const auto i = static_cast<std::size_t>(
                    std::lower_bound(content.time_s.begin(), content.time_s.end(), edge_s) - content.time_s.begin());
                if (i > 0 && i < content.time_s.size()) {
                    const double before_s = content.time_s[i - 1];
                    const double t = (edge_s - before_s) / (content.time_s[i] - before_s);
                    extent.take(trace.factor * (trace.value[i - 1] + t * (trace.value[i] - trace.value[i - 1])));
                }
            }
        }
    }
    for (const PaneBand& band : pane.bands) {
        if (band.on_right_axis == right) {
            extent.take(band.limits, band.pyramid.get(), band.factor, part);
        }
    }
    if (right) {
        return extent.range();
    }
    if (pane.kind == PaneKind::temperature) {
        for (const Pin& pin : content.pins) {
            if (isWithin(pin.time_s, shown_s)) {
                extent.take(pin.temperature_c);
            }
        }
    }
    for (const Annotation& annotation : content.annotations) {
        if (annotation.pane == pane.kind) {
            if (isWithin(annotation.time_s, shown_s) ||
                (annotation.kind == AnnotationKind::span && annotation.time_s < shown_s.high &&
                 annotation.to_time_s > shown_s.low)) {
                extent.take(annotation.value);
            }
            if (annotation.kind == AnnotationKind::arrow && isWithin(annotation.to_time_s, shown_s)) {
                extent.take(annotation.to_value);
            }
        }
    }
    return extent.range();
}

Range followed(const Range& before, const Range& held, const RangeRule& rule) {
    constexpr double least_part = 0.5; // of the axis that is to be used
    const Range fitted = padded(held, rule);
    const bool holds = held.low >= before.low && held.high <= before.high;
    return holds && fitted.width() >= least_part * before.width() ? before : fitted;
}

} // namespace

void addPyramids(PlotContent& content, const std::stop_token& stop) {
    const auto made = [&](const Samples& samples) {
        auto pyramid = std::make_shared<Pyramid>();
        pyramid->grow(samples, stop);
        return pyramid;
    };
    for (Pane& pane : content.panes) {
        for (PaneTrace& trace : pane.traces) {
            if (!stop.stop_requested()) {
                trace.pyramid = made(samplesOf(trace.value));
            }
        }
        for (PaneBand& band : pane.bands) {
            if (!stop.stop_requested()) {
                band.pyramid = made(band.limits);
            }
        }
    }
}

Range wholeRange(const PlotContent& content) {
    if (content.time_s.empty() || !(content.time_s.front() < content.time_s.back())) {
        return content.shown_s;
    }
    return {.low = content.time_s.front(), .high = content.time_s.back()};
}

PlotView fittedView(const PlotContent& content) {
    PlotView view{.shown_s = content.shown_s, .panes = {}};
    for (const Pane& pane : content.panes) {
        view.panes.push_back({.range = pane.range, .right_range = pane.right_range});
    }
    return view;
}

PlotView viewOf(const PlotContent& content, const Range& shown_s) {
    PlotView view{.shown_s = shown_s, .panes = {}};
    for (const Pane& pane : content.panes) {
        PaneView own{.range = padded(heldRange(content, pane, false, shown_s), pane.rule), .right_range = {}};
        if (pane.right_range) {
            own.right_range = padded(heldRange(content, pane, true, shown_s), pane.right_rule);
        }
        view.panes.push_back(own);
    }
    return view;
}

PlotView followedView(const PlotContent& content, const PlotView& before, const Range& shown_s) {
    if (before.panes.size() != content.panes.size()) {
        return viewOf(content, shown_s);
    }
    PlotView view{.shown_s = shown_s, .panes = {}};
    for (std::size_t i = 0; i < content.panes.size(); ++i) {
        const Pane& pane = content.panes[i];
        const PaneView& was = before.panes[i];
        PaneView own{.range = followed(was.range, heldRange(content, pane, false, shown_s), pane.rule),
                     .right_range = {}};
        if (pane.right_range) {
            const Range held = heldRange(content, pane, true, shown_s);
            own.right_range =
                was.right_range ? followed(*was.right_range, held, pane.right_rule) : padded(held, pane.right_rule);
        }
        view.panes.push_back(own);
    }
    return view;
}

LeftOut leftOut(const PlotContent& content, const Range& shown_s) {
    LeftOut left;
    if (!content.time_s.empty() && content.time_s.front() < shown_s.low) {
        left.before = "trace starts at " + format::durationText(content.time_s.front());
    }
    if (!content.time_s.empty() && content.time_s.back() > shown_s.high) {
        left.after = "trace continues to " + format::durationText(content.time_s.back());
    }
    return left;
}

} // namespace potwatch::report
