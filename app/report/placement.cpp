// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/placement.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>

namespace potwatch::report {

std::vector<int> flagRows(std::span<const double> poles, std::span<const Extent> extents) {
    std::vector<int> rows(poles.size(), 0);
    for (std::size_t i = poles.size(); i-- > 0;) {
        for (std::size_t j = i + 1; j < poles.size(); ++j) {
            const bool crossed = poles[j] >= extents[i].from && poles[j] <= extents[i].to;
            const bool overlapping = extents[i].from < extents[j].to && extents[j].from < extents[i].to;
            if (crossed || overlapping) {
                rows[i] = std::max(rows[i], rows[j] + 1);
            }
        }
    }
    return rows;
}

std::vector<int> packedRows(std::span<const Extent> extents, double gap) {
    std::vector<int> rows;
    for (std::size_t i = 0; i < extents.size(); ++i) {
        int row = 0;
        const auto taken = [&](std::size_t j) {
            return rows[j] == row && extents[i].from < extents[j].to + gap && extents[j].from < extents[i].to + gap;
        };
        for (std::size_t j = 0; j < i;) {
            if (taken(j)) {
                ++row;
                j = 0;
            } else {
                ++j;
            }
        }
        rows.push_back(row);
    }
    return rows;
}

namespace {

// The parts of the lines about a point, with few enough corners to be looked at many times.
std::vector<Polyline> partsNear(Point at, double reach, std::span<const Polyline> lines) {
    constexpr double coarse = 1.5; // page units that make no difference to where a pin can stand
    std::vector<Polyline> near;
    const Box box{.left = at.x - reach, .top = at.y - reach, .right = at.x + reach, .bottom = at.y + reach};
    for (const Polyline& line : lines) {
        if (line.empty() || line.back().x < box.left || line.front().x > box.right) {
            continue;
        }
        const auto from =
            std::lower_bound(line.begin(), line.end(), box.left, [](const Point& p, double x) { return p.x < x; });
        const auto to = std::upper_bound(from, line.end(), box.right, [](double x, const Point& p) { return x < p.x; });
        const Polyline within(from == line.begin() ? from : from - 1, to == line.end() ? to : to + 1);
        for (const Polyline& part : clipped(within, box)) {
            near.push_back(simplified(part, coarse));
        }
    }
    return near;
}

} // namespace

std::vector<Point> placedPins(std::span<const Point> anchors, const PinRules& rules) {
    static constexpr std::array<double, 7> distances{20.0, 26.0, 34.0, 44.0, 56.0, 70.0, 88.0};
    // Up and to the left first, then down and to the right: the free sides of a rising trace.
    static constexpr std::array<double, 12> degrees{135.0, 120.0, 150.0, 90.0,  315.0, 300.0,
                                                    60.0,  330.0, 180.0, 270.0, 0.0,   240.0};
    std::vector<Point> placed;
    for (const Point& anchor : anchors) {
        Point best = anchor;
        double least = std::numeric_limits<double>::infinity();
        const std::vector<Polyline> near = partsNear(anchor, distances.back() + rules.clear_of_trace, rules.trace);
        double rank = 0.0; // a near place is better, all else being equal
        for (const double away : distances) {
            for (const double angle : degrees) {
                const double radians = angle * std::numbers::pi / 180.0;
                const Point at{.x = anchor.x + away * std::cos(radians), .y = anchor.y - away * std::sin(radians)};
                const Box inner{.left = rules.bounds.left + rules.radius,
                                .top = rules.bounds.top + rules.radius,
                                .right = rules.bounds.right - rules.radius,
                                .bottom = rules.bounds.bottom - rules.radius};
                constexpr double outside_costs = 1e6;
                constexpr double on_pin_costs = 1e5;
                constexpr double on_trace_costs = 1e3;
                constexpr double on_vertical_costs = 1e2;
                double costs = rank += 1.0;
                costs += inner.contains(at) ? 0.0 : outside_costs;
                for (const Point& other : placed) {
                    costs += std::hypot(at.x - other.x, at.y - other.y) < 2.0 * rules.radius + 2.0 ? on_pin_costs : 0.0;
                }
                for (const Polyline& line : near) {
                    costs += distance(at, line) < rules.clear_of_trace ? on_trace_costs : 0.0;
                }
                for (const double x : rules.verticals) {
                    costs += std::abs(at.x - x) < rules.radius + 2.0 ? on_vertical_costs : 0.0;
                }
                for (const Point& other : anchors) { // the points themselves stay seen
                    costs += std::hypot(at.x - other.x, at.y - other.y) < rules.radius + 4.0 ? on_trace_costs : 0.0;
                }
                if (costs < least) {
                    least = costs;
                    best = at;
                }
            }
        }
        placed.push_back(best);
    }
    return placed;
}

} // namespace potwatch::report
