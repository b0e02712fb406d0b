// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/geometry.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <optional>
#include <utility>

namespace potwatch::report {
namespace {

struct Segment {
    Point from;
    Point to;
};

std::optional<Segment> clippedSegment(Point a, Point b, const Box& box) {
    const double dx = b.x - a.x;
    const double dy = b.y - a.y;
    // Each side as: inside where p t <= q, t running from a (0) to b (1).
    const std::array<std::pair<double, double>, 4> sides{
        {{-dx, a.x - box.left}, {dx, box.right - a.x}, {-dy, a.y - box.top}, {dy, box.bottom - a.y}}};
    double enter = 0.0;
    double leave = 1.0;
    for (const auto& side : sides) {
        if (side.first == 0.0) {
            if (side.second < 0.0) {
                return std::nullopt;
            }
            continue;
        }
        const double t = side.second / side.first;
        if (side.first < 0.0) {
            enter = std::max(enter, t);
        } else {
            leave = std::min(leave, t);
        }
    }
    if (enter > leave) {
        return std::nullopt;
    }
    const auto at = [&](double t) {
        return Point{.x = std::clamp(a.x + t * dx, box.left, box.right),
                     .y = std::clamp(a.y + t * dy, box.top, box.bottom)};
    };
    return Segment{.from = enter == 0.0 ? a : at(enter), .to = leave == 1.0 ? b : at(leave)};
}

template<class Inside, class Cross>
Polyline cutBySide(const Polyline& polygon, Inside inside, Cross cross) {
    Polyline kept;
    for (std::size_t i = 0; i < polygon.size(); ++i) {
        const Point previous = polygon[(i + polygon.size() - 1) % polygon.size()];
        const Point current = polygon[i];
        if (inside(current) != inside(previous)) {
            kept.push_back(cross(previous, current));
        }
        if (inside(current)) {
            kept.push_back(current);
        }
    }
    return kept;
}

Point atX(Point a, Point b, double x) {
    return {.x = x, .y = a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x)};
}

Point atY(Point a, Point b, double y) {
    return {.x = a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y), .y = y};
}

} // namespace

std::vector<Polyline> clipped(const Polyline& line, const Box& box) {
    std::vector<Polyline> parts;
    if (line.size() == 1 && box.contains(line.front())) {
        parts.push_back(line);
    }
    Polyline part;
    const auto finish = [&] {
        if (!part.empty()) {
            parts.push_back(std::exchange(part, {}));
        }
    };
    for (std::size_t i = 1; i < line.size(); ++i) {
        const auto segment = clippedSegment(line[i - 1], line[i], box);
        if (!segment) {
            finish();
            continue;
        }
        if (part.empty() || part.back() != segment->from) {
            finish();
            part.push_back(segment->from);
        }
        part.push_back(segment->to);
    }
    finish();
    return parts;
}

Polyline clippedPolygon(const Polyline& polygon, const Box& box) {
    Polyline kept = cutBySide(
        polygon, [&](Point p) { return p.x >= box.left; }, [&](Point a, Point b) { return atX(a, b, box.left); });
    kept = cutBySide(
        kept, [&](Point p) { return p.x <= box.right; }, [&](Point a, Point b) { return atX(a, b, box.right); });
    kept = cutBySide(
        kept, [&](Point p) { return p.y >= box.top; }, [&](Point a, Point b) { return atY(a, b, box.top); });
    return cutBySide(
        kept, [&](Point p) { return p.y <= box.bottom; }, [&](Point a, Point b) { return atY(a, b, box.bottom); });
}

Polyline simplified(const Polyline& line, double tolerance) {
    if (line.size() < 3) {
        return line;
    }
    std::vector<bool> kept(line.size(), false);
    kept.front() = true;
    kept.back() = true;
    std::vector<std::pair<std::size_t, std::size_t>> open{{0, line.size() - 1}};
    while (!open.empty()) {
        const std::pair<std::size_t, std::size_t> part = open.back();
        open.pop_back();
        const Polyline chord{line[part.first], line[part.second]};
        double farthest = tolerance;
        std::size_t split = 0;
        for (std::size_t i = part.first + 1; i < part.second; ++i) {
            const double away = distance(line[i], chord);
            if (away > farthest) {
                farthest = away;
                split = i;
            }
        }
        if (split != 0) {
            kept[split] = true;
            open.emplace_back(part.first, split);
            open.emplace_back(split, part.second);
        }
    }
    Polyline shorter;
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (kept[i]) {
            shorter.push_back(line[i]);
        }
    }
    return shorter;
}

double distance(Point point, const Polyline& line) {
    double nearest = std::numeric_limits<double>::infinity();
    if (line.size() == 1) {
        nearest = std::hypot(point.x - line.front().x, point.y - line.front().y);
    }
    for (std::size_t i = 1; i < line.size(); ++i) {
        const Point a = line[i - 1];
        const double dx = line[i].x - a.x;
        const double dy = line[i].y - a.y;
        const double length_squared = dx * dx + dy * dy;
        double t = 0.0;
        if (length_squared > 0.0) {
            t = std::clamp(((point.x - a.x) * dx + (point.y - a.y) * dy) / length_squared, 0.0, 1.0);
        }
        nearest = std::min(nearest, std::hypot(point.x - a.x - t * dx, point.y - a.y - t * dy));
    }
    return nearest;
}

} // namespace potwatch::report
