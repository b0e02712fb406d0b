// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/decimation.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <utility>

namespace potwatch::report {
namespace {

using Index = std::size_t;

// The samples to look at: those within the columns and one beyond either end.
std::pair<Index, Index> range(std::span<const double> x, const Columns& columns) {
    const auto first = std::lower_bound(x.begin(), x.end(), columns.from);
    const auto last = std::upper_bound(first, x.end(), columns.to);
    const auto begin = static_cast<Index>(first - x.begin());
    const auto end = static_cast<Index>(last - x.begin());
    return {begin == 0 ? 0 : begin - 1, std::min(end + 1, x.size())};
}

// Column of a time; -1 before the first and count after the last.
long columnOf(double x, const Columns& columns) {
    if (x < columns.from) {
        return -1;
    }
    if (x > columns.to) {
        return columns.count;
    }
    return std::min(static_cast<long>((x - columns.from) / columns.width()), static_cast<long>(columns.count) - 1);
}

// What is kept of the samples of one column.
struct Kept {
    Index first = 0;
    Index lowest = 0;
    Index highest = 0;
    Index last = 0;
};

void append(Polyline& line, const Kept& kept, std::span<const double> x, std::span<const double> y) {
    std::array<Index, 4> order{kept.first, kept.lowest, kept.highest, kept.last};
    std::sort(order.begin(), order.end());
    const auto* const end = std::unique(order.begin(), order.end());
    for (const auto* i = order.begin(); i != end; ++i) {
        line.push_back({.x = x[*i], .y = y[*i]});
    }
}

void finish(std::vector<Polyline>& lines, Polyline& line) {
    if (!line.empty()) {
        lines.push_back(std::exchange(line, {}));
    }
}

} // namespace

std::vector<Polyline> decimate(std::span<const double> x, std::span<const double> y, const Columns& columns) {
    assert(x.size() == y.size() && columns.count > 0 && columns.to > columns.from);
    std::vector<Polyline> lines;
    Polyline line;
    const std::pair<Index, Index> looked_at = range(x, columns);
    Kept kept;
    long column = -2; // of kept; -2 = nothing kept
    bool gap = false; // missing values since the last known one
    for (Index i = looked_at.first; i < looked_at.second; ++i) {
        if (!std::isfinite(y[i])) {
            gap = true;
            continue;
        }
        const long own = columnOf(x[i], columns);
        const bool parted = gap && column != -2 && x[i] - x[kept.last] >= columns.width();
        gap = false;
        if (own == column && !parted) {
            kept.lowest = y[i] < y[kept.lowest] ? i : kept.lowest;
            kept.highest = y[i] > y[kept.highest] ? i : kept.highest;
            kept.last = i;
            continue;
        }
        if (column != -2) {
            append(line, kept, x, y);
        }
        if (parted) {
            finish(lines, line);
        }
        kept = {.first = i, .lowest = i, .highest = i, .last = i};
        column = own;
    }
    if (column != -2) {
        append(line, kept, x, y);
    }
    finish(lines, line);
    return lines;
}

std::vector<Polyline> decimateBand(std::span<const double> x, std::span<const double> low, std::span<const double> high,
                                   const Columns& columns) {
    assert(x.size() == low.size() && x.size() == high.size() && columns.count > 0 && columns.to > columns.from);
    struct Slice {
        double from = 0.0;
        double to = 0.0;
        double low = 0.0;
        double high = 0.0;
    };
    std::vector<Polyline> polygons;
    std::vector<Slice> slices;
    const auto close = [&] {
        Polyline polygon;
        for (const Slice& slice : slices) {
            polygon.push_back({.x = slice.from, .y = slice.high});
            if (slice.to > slice.from) {
                polygon.push_back({.x = slice.to, .y = slice.high});
            }
        }
        for (auto slice = slices.rbegin(); slice != slices.rend(); ++slice) {
            polygon.push_back({.x = slice->to, .y = slice->low});
            if (slice->to > slice->from) {
                polygon.push_back({.x = slice->from, .y = slice->low});
            }
        }
        finish(polygons, polygon);
        slices.clear();
    };
    const std::pair<Index, Index> looked_at = range(x, columns);
    long column = -2;
    bool gap = false;
    for (Index i = looked_at.first; i < looked_at.second; ++i) {
        if (!std::isfinite(low[i]) || !std::isfinite(high[i])) {
            gap = true;
            continue;
        }
        const long own = columnOf(x[i], columns);
        const bool parted = gap && !slices.empty() && x[i] - slices.back().to >= columns.width();
        gap = false;
        if (parted) {
            close();
        }
        if (own == column && !slices.empty()) {
            Slice& slice = slices.back();
            slice = {.from = slice.from,
                     .to = x[i],
                     .low = std::min(slice.low, low[i]),
                     .high = std::max(slice.high, high[i])};
            continue;
        }
        slices.push_back({.from = x[i], .to = x[i], .low = low[i], .high = high[i]});
        column = own;
    }
    close();
    return polygons;
}

std::vector<Polyline> steps(std::span<const double> x, std::span<const double> y, const Columns& columns) {
    assert(x.size() == y.size() && columns.count > 0 && columns.to > columns.from);
    std::vector<Polyline> lines;
    Polyline line;
    for (int column = 0; column < columns.count; ++column) {
        const double left = columns.from + column * columns.width();
        const double middle = left + 0.5 * columns.width();
        const auto after = std::lower_bound(x.begin(), x.end(), middle);
        const auto i = static_cast<Index>(after - x.begin());
        if (i == x.size() || (i == 0 && x[i] > middle)) {
            finish(lines, line);
            continue;
        }
        double value = y[i];
        if (x[i] > middle) {
            value = y[i - 1] + (y[i] - y[i - 1]) * (middle - x[i - 1]) / (x[i] - x[i - 1]);
        }
        if (!std::isfinite(value)) {
            finish(lines, line);
            continue;
        }
        line.push_back({.x = left, .y = value});
        line.push_back({.x = left + columns.width(), .y = value});
    }
    finish(lines, line);
    return lines;
}

} // namespace potwatch::report
