// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/raster_line.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace potwatch::report {
namespace {

// What a line does within one column.
struct Column {
    long number = 0;
    Point first{};
    Point last{};
    double low = 0.0;
    double high = 0.0;
};

std::vector<Column> columnsOf(const Polyline& line, double left, double column_width) {
    std::vector<Column> columns;
    for (const Point& p : line) {
        const auto number = static_cast<long>(std::floor((p.x - left) / column_width));
        if (columns.empty() || columns.back().number != number) {
            columns.push_back({.number = number, .first = p, .last = p, .low = p.y, .high = p.y});
            continue;
        }
        Column& column = columns.back();
        column.last = p;
        column.low = std::min(column.low, p.y);
        column.high = std::max(column.high, p.y);
    }
    return columns;
}

} // namespace

Polyline thinned(const Polyline& line, double tolerance) {
    constexpr double least_step = 1e-3; // of x, below which a slope says nothing
    Polyline kept;
    double lowest = -std::numeric_limits<double>::infinity();
    double highest = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < line.size(); ++i) {
        if (i == 0 || i + 1 == line.size()) {
            kept.push_back(line[i]);
            continue;
        }
        // Whether a straight line from the last kept point can pass all since and the next one closely enough.
        const Point& from = kept.back();
        const double dx = line[i].x - from.x;
        const double next_dx = line[i + 1].x - from.x;
        if (dx > least_step && next_dx > least_step) {
            lowest = std::max(lowest, (line[i].y - tolerance - from.y) / dx);
            highest = std::min(highest, (line[i].y + tolerance - from.y) / dx);
            const double slope = (line[i + 1].y - from.y) / next_dx;
            if (slope >= lowest && slope <= highest) {
                continue;
            }
        }
        kept.push_back(line[i]);
        lowest = -std::numeric_limits<double>::infinity();
        highest = std::numeric_limits<double>::infinity();
    }
    return kept;
}

double verticalTravel(const Polyline& line) {
    double sum = 0.0;
    for (std::size_t i = 1; i < line.size(); ++i) {
        sum += std::abs(line[i].y - line[i - 1].y);
    }
    return sum;
}

std::vector<Box> columnBoxes(const Polyline& line, double left, double column_width, double width) {
    std::vector<Box> boxes;
    const Column* before = nullptr;
    const std::vector<Column> columns = columnsOf(line, left, column_width);
    boxes.reserve(columns.size());
    for (const Column& column : columns) {
        double low = column.low;
        double high = column.high;
        double from = left + (static_cast<double>(column.number) + 0.5) * column_width;
        const double to = from;
        if (before != nullptr) {
            low = std::min(low, std::max(before->last.y, before->low));
            high = std::max(high, std::min(before->last.y, before->high));
            if (column.number > before->number + 1) {
                from = left + (static_cast<double>(before->number) + 0.5) * column_width;
            }
        }
        const double missing = std::max(0.0, width - (high - low));
        boxes.push_back({.left = from - 0.5 * width,
                         .top = low - 0.5 * missing,
                         .right = to + 0.5 * width,
                         .bottom = high + 0.5 * missing});
        before = &column;
    }
    return boxes;
}

std::vector<Box> columnsTo(double level, const Polyline& line, double left, double column_width) {
    std::vector<Box> boxes;
    const Column* before = nullptr;
    const std::vector<Column> columns = columnsOf(line, left, column_width);
    boxes.reserve(columns.size());
    for (const Column& column : columns) {
        const double to = left + static_cast<double>(column.number + 1) * column_width;
        if (before != nullptr && column.number > before->number + 1) { // a straight way through columns without points
            const double dx = column.first.x - before->last.x;
            for (long number = before->number + 1; number < column.number; ++number) {
                const double middle = left + (static_cast<double>(number) + 0.5) * column_width;
                const double t = std::clamp((middle - before->last.x) / dx, 0.0, 1.0);
                const double y = before->last.y + t * (column.first.y - before->last.y);
                boxes.push_back({.left = middle - 0.5 * column_width,
                                 .top = std::min(y, level),
                                 .right = middle + 0.5 * column_width,
                                 .bottom = std::max(y, level)});
            }
        }
        boxes.push_back({.left = to - column_width,
                         .top = std::min(column.low, level),
                         .right = to,
                         .bottom = std::max(column.high, level)});
        before = &column;
    }
    return boxes;
}

std::vector<Box> bandColumns(const Polyline& polygon, double left, double column_width) {
    Polyline corners = polygon;
    std::stable_sort(corners.begin(), corners.end(), [](const Point& a, const Point& b) { return a.x < b.x; });
    std::vector<Box> boxes;
    for (const Column& column : columnsOf(corners, left, column_width)) {
        const double from = left + static_cast<double>(column.number) * column_width;
        boxes.push_back({.left = from, .top = column.low, .right = from + column_width, .bottom = column.high});
    }
    return boxes;
}

} // namespace potwatch::report
