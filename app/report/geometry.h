// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace potwatch::report {

// Points and rectangles of a drawing, x to the right and y as the caller means it; unit free.

struct Point {
    double x = 0.0;
    double y = 0.0;

    bool operator==(const Point&) const = default;
};

using Polyline = std::vector<Point>;

struct Box {
    double left = 0.0;
    double top = 0.0; // the smaller y
    double right = 0.0;
    double bottom = 0.0;

    bool operator==(const Box&) const = default;
    [[nodiscard]] double width() const { return right - left; }
    [[nodiscard]] double height() const { return bottom - top; }
    [[nodiscard]] bool contains(Point p) const { return p.x >= left && p.x <= right && p.y >= top && p.y <= bottom; }
    [[nodiscard]] bool overlaps(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
};

// The parts of a polyline that lie in the box, in order. Vector formats know no clipping of painted lines, so that
// geometry is cut before it is painted. A polyline of one point inside stays one. Source: Liang and Barsky's line
// clipping, ACM Transactions on Graphics 3 (1984) 1; from memory.
[[nodiscard]] std::vector<Polyline> clipped(const Polyline& line, const Box& box);

// The part of a closed polygon that lies in the box; edges along the border may coincide, so fill it and do not stroke
// it. Source: Sutherland and Hodgman's polygon clipping, Communications of the ACM 17 (1974) 32; from memory.
[[nodiscard]] Polyline clippedPolygon(const Polyline& polygon, const Box& box);

// The line with the points left out that lie within the tolerance of what remains; the ends stay.
// Source: Douglas and Peucker, The Canadian Cartographer 10 (1973) 112; from memory.
// Cost: O(n log n) for the traces it is meant for, O(n^2) at worst.
[[nodiscard]] Polyline simplified(const Polyline& line, double tolerance);

// Shortest distance from a point to a polyline; infinity where it is empty.
[[nodiscard]] double distance(Point point, const Polyline& line);

} // namespace potwatch::report
