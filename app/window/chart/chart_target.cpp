// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_target.h"

#include "app/report/plot_margin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using report::Point;

constexpr double reach = 5.0; // page units beside a thing that still take hold of it

bool isNear(Point a, Point b, double within) {
    return std::hypot(a.x - b.x, a.y - b.y) <= within;
}

report::Box grown(const report::Box& box, double by) {
    return {.left = box.left - by, .top = box.top - by, .right = box.right + by, .bottom = box.bottom + by};
}

std::optional<Target::Part> partAt(Point at, const report::ShownAnnotation& shown, AnnotationKind kind) {
    if (kind != AnnotationKind::text) {
        if (isNear(at, shown.at, reach + 3.0)) {
            return Target::Part::at;
        }
        const bool words = shown.text.width() > 0.0;
        if ((kind == AnnotationKind::span || !words) && isNear(at, shown.to, reach + 3.0)) {
            return Target::Part::to;
        }
        if (kind == AnnotationKind::arrow && words && grown(shown.text, 2.0).contains(at)) {
            return Target::Part::to;
        }
        if (report::distance(at, {shown.at, shown.to}) <= reach) {
            return Target::Part::whole;
        }
    }
    if (grown(shown.text, 3.0).contains(at)) {
        return Target::Part::whole;
    }
    return std::nullopt;
}

std::vector<std::pair<LandmarkKind, double>> plateauEdges(const report::PlotContent& content) {
    if (!content.boil_plateau) {
        return {};
    }
    return {{LandmarkKind::boilStart, content.boil_plateau->from_s},
            {LandmarkKind::boilEnd, content.boil_plateau->to_s}};
}

} // namespace

Target targetAt(Point at, const ChartSurroundings& around) {
    for (const report::ShownPin& pin : around.marks.pins) {
        if (isNear(at, pin.place, report::pin_radius + 2.0) || isNear(at, pin.anchor, reach + 2.0)) {
            return {.kind = Target::Kind::pin, .index = pin.pin};
        }
    }
    for (auto shown = around.marks.annotations.rbegin(); shown != around.marks.annotations.rend(); ++shown) {
        const AnnotationKind kind = around.content.annotations[shown->annotation].kind;
        if (const auto part = partAt(at, *shown, kind)) {
            return {.kind = Target::Kind::annotation, .index = shown->annotation, .part = *part};
        }
    }
    for (std::size_t i = 0; i < around.cursors_s.size(); ++i) {
        if (around.cursors_s[i] && std::abs(around.layout.xOf(*around.cursors_s[i]) - at.x) <= reach) {
            return {.kind = Target::Kind::cursor, .index = i};
        }
    }
    if (around.layout.areas.front().contains(at)) {
        for (const auto& [landmark, time_s] : plateauEdges(around.content)) {
            if (std::abs(around.layout.xOf(time_s) - at.x) <= reach) {
                return {.kind = Target::Kind::plateauEdge, .index = 0, .landmark = landmark};
            }
        }
    }
    return {};
}

std::vector<Target> targets(const ChartSurroundings& around) {
    std::vector<Target> all;
    for (const report::ShownPin& pin : around.marks.pins) {
        all.push_back({.kind = Target::Kind::pin, .index = pin.pin});
    }
    for (const auto& [landmark, time_s] : plateauEdges(around.content)) {
        if (around.layout.shows(time_s)) {
            all.push_back({.kind = Target::Kind::plateauEdge, .index = 0, .landmark = landmark});
        }
    }
    for (const report::ShownAnnotation& shown : around.marks.annotations) {
        all.push_back({.kind = Target::Kind::annotation, .index = shown.annotation});
    }
    return all;
}

std::optional<LandmarkKind> landmarkOf(const Target& target, const report::PlotContent& content) {
    if (target.kind == Target::Kind::pin && target.index < content.pins.size()) {
        return content.pins[target.index].kind;
    }
    if (target.kind == Target::Kind::plateauEdge) {
        return target.landmark;
    }
    return std::nullopt;
}

bool isByHand(const Target& target, const report::PlotContent& content) {
    if (target.kind == Target::Kind::pin && target.index < content.pins.size()) {
        return content.pins[target.index].by_hand;
    }
    if (target.kind == Target::Kind::plateauEdge && content.boil_plateau) {
        return target.landmark == LandmarkKind::boilStart ? content.boil_plateau->start_by_hand
                                                          : content.boil_plateau->end_by_hand;
    }
    return false;
}

} // namespace potwatch::window
