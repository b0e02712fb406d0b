// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/landmark_kind.h"
#include "app/report/plot_marks.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace potwatch::window {

// Something on the chart that can be taken hold of.
struct Target {
    enum class Kind { none, pin, plateauEdge, annotation, cursor };
    enum class Part { whole, at, to }; // of an annotation: all of it, (time_s, value), (to_time_s, to_value)

    Kind kind = Kind::none;
    std::size_t index = 0; // of the pin or the annotation in the content; 0 or 1 of the cursor
    LandmarkKind landmark = LandmarkKind::boilStart; // of a plateau's edge
    Part part = Part::whole;

    bool operator==(const Target&) const = default;
    [[nodiscard]] bool isNone() const { return kind == Kind::none; }
};

struct ChartSurroundings {
    const report::PlotContent& content;
    const report::PlotLayout& layout;
    const report::ShownMarks& marks;
    std::vector<std::optional<double>> cursors_s{};
};

// What lies at a point, in page units; what is drawn on top first.
[[nodiscard]] Target targetAt(report::Point at, const ChartSurroundings& around);

// Everything that the keyboard can take hold of: pins, edges of the plateau, annotations; those in view, in that order.
[[nodiscard]] std::vector<Target> targets(const ChartSurroundings& around);

// The landmark that a target stands for; empty where it is none that can be put by hand.
[[nodiscard]] std::optional<LandmarkKind> landmarkOf(const Target& target, const report::PlotContent& content);
[[nodiscard]] bool isByHand(const Target& target, const report::PlotContent& content);

} // namespace potwatch::window
