// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/decimation.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace potwatch::report {
namespace {

using Index = std::size_t;

constexpr Index scanned_at_most = 64; // samples of a column; above, the pyramid is quicker

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

// The first index from `from` on whose column is at least that one, looked for about where an even step puts it.
Index borderFrom(std::span<const double> x, const Columns& columns, long column, Index from, Index step) {
    const auto reached = [&](Index i) { return i >= x.size() || columnOf(x[i], columns) >= column; };
    Index low = from; // the border lies at low or after
    Index width = 2;
    Index guess = std::min(from + step, x.size());
    while (!reached(guess)) {
        low = guess + 1;
        guess = std::min(guess + width, x.size());
        width *= 2;
    }
    width = 2;
    Index high = guess; // reached there
    while (high > low) {
        const Index back = high - low > width ? high - width : low;
        if (!reached(back)) {
            low = back + 1;
            break;
        }
        high = back;
        width *= 2;
    }
    while (low < high) {
        const Index middle = low + (high - low) / 2;
        if (reached(middle)) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return low;
}

Index firstKnown(const Samples& samples, const Pyramid* pyramid, Index first, Index last) {
    if (pyramid != nullptr) {
        return pyramid->firstKnown(samples, first, last);
    }
    while (first < last && !samples.known(first)) {
        ++first;
    }
    return first;
}

// Assumes: one of [first, last) is known.
Index lastKnown(const Samples& samples, const Pyramid* pyramid, Index first, Index last) {
    if (pyramid != nullptr) {
        return pyramid->lastKnown(samples, first, last);
    }
    Index i = last - 1;
    while (i > first && !samples.known(i)) {
        --i;
    }
    return i;
}

// Calls back with the first and the last known sample of each column that has one, and of what lies beside the columns.
template<class Callback>
void forEachColumn(const Samples& samples, const ColumnSamples& columns, const Pyramid* pyramid, Callback callback) {
    const auto call = [&](Index begin, Index end) {
        const Index first = firstKnown(samples, pyramid, begin, end);
        if (first < end) {
            callback(first, lastKnown(samples, pyramid, first, end));
        }
    };
    if (columns.border.front() > 0) {
        call(columns.border.front() - 1, columns.border.front());
    }
    for (Index c = 0; c + 1 < columns.border.size(); ++c) {
        call(columns.border[c], columns.border[c + 1]);
    }
    if (columns.border.back() < samples.size()) {
        call(columns.border.back(), columns.border.back() + 1);
    }
}

// Whether a gap of missing samples between two known ones shows.
bool isParted(std::span<const double> x, Index before, Index after, const Columns& columns) {
    return after > before + 1 && x[after] - x[before] >= columns.width();
}

void appendSamples(Polyline& line, std::span<const double> x, const Samples& samples, Index first, Index last) {
    Index lowest = first;
    Index highest = first;
    for (Index i = first; i <= last; ++i) {
        if (samples.known(i)) {
            lowest = samples.low(i) < samples.low(lowest) ? i : lowest;
            highest = samples.low(i) > samples.low(highest) ? i : highest;
        }
    }
    std::array<Index, 4> order{first, lowest, highest, last};
    std::sort(order.begin(), order.end());
    const auto* const end = std::unique(order.begin(), order.end());
    for (const auto* i = order.begin(); i != end; ++i) {
        line.push_back({.x = x[*i], .y = samples.low(*i)});
    }
}

void finish(std::vector<Polyline>& lines, Polyline& line) {
    if (!line.empty()) {
        lines.push_back(std::exchange(line, {}));
    }
}

Extremes extremesWith(const Samples& samples, const Pyramid* pyramid, Index first, Index last) {
    return pyramid != nullptr ? pyramid->extremes(samples, first, last) : extremesOf(samples, first, last);
}

} // namespace

ColumnSamples columnSamples(std::span<const double> x, const Columns& columns) {
    assert(columns.count > 0 && columns.to > columns.from);
    ColumnSamples made{.columns = columns, .border = {}};
    made.border.reserve(static_cast<Index>(columns.count) + 1);
    made.border.push_back(static_cast<Index>(std::lower_bound(x.begin(), x.end(), columns.from) - x.begin()));
    Index step = 1;
    for (int column = 1; column <= columns.count; ++column) {
        const Index before = made.border.back();
        made.border.push_back(borderFrom(x, columns, column, before, step));
        step = made.border.back() - before;
    }
    return made;
}

std::vector<Polyline> decimate(std::span<const double> x, const Samples& samples, const ColumnSamples& columns,
                               const Pyramid* pyramid) {
    assert(x.size() == samples.size());
    std::vector<Polyline> lines;
    Polyline line;
    std::optional<Index> before;
    forEachColumn(samples, columns, pyramid, [&](Index first, Index last) {
        if (before && isParted(x, *before, first, columns.columns)) {
            finish(lines, line);
        }
        before = last;
        if (pyramid == nullptr || last - first <= scanned_at_most) {
            appendSamples(line, x, samples, first, last);
            return;
        }
        const Extremes between = pyramid->extremes(samples, first, last + 1);
        const double middle = 0.5 * (x[first] + x[last]);
        const bool rising = samples.low(first) <= samples.low(last);
        line.push_back({.x = x[first], .y = samples.low(first)});
        line.push_back({.x = middle, .y = rising ? between.low : between.high});
        line.push_back({.x = middle, .y = rising ? between.high : between.low});
        line.push_back({.x = x[last], .y = samples.low(last)});
    });
    finish(lines, line);
    return lines;
}

std::vector<Polyline> decimate(std::span<const double> x, std::span<const double> y, const Columns& columns) {
    return decimate(x, samplesOf(y), columnSamples(x, columns));
}

std::vector<Polyline> decimateBand(std::span<const double> x, const Samples& samples, const ColumnSamples& columns,
                                   const Pyramid* pyramid) {
    assert(x.size() == samples.size());
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
    std::optional<Index> before;
    forEachColumn(samples, columns, pyramid, [&](Index first, Index last) {
        if (before && isParted(x, *before, first, columns.columns)) {
            close();
        }
        before = last;
        Slice slice{.from = x[first], .to = x[last], .low = samples.low(first), .high = samples.high(first)};
        if (pyramid != nullptr && last - first > scanned_at_most) {
            const Extremes between = pyramid->extremes(samples, first, last + 1);
            slice.low = between.low;
            slice.high = between.high;
        } else {
            for (Index i = first + 1; i <= last; ++i) {
                if (samples.known(i)) {
                    slice.low = std::min(slice.low, samples.low(i));
                    slice.high = std::max(slice.high, samples.high(i));
                }
            }
        }
        slices.push_back(slice);
    });
    close();
    return polygons;
}

std::vector<Polyline> decimateBand(std::span<const double> x, std::span<const double> low, std::span<const double> high,
                                   const Columns& columns) {
    assert(x.size() == low.size() && x.size() == high.size());
    return decimateBand(x, {.low_of = low, .high_of = high, .spread = {}, .times = 0.0}, columnSamples(x, columns));
}

double valueAt(std::span<const double> x, std::span<const double> y, double at) {
    const auto after = std::lower_bound(x.begin(), x.end(), at);
    const auto i = static_cast<Index>(after - x.begin());
    if (i == x.size() || (i == 0 && x[i] > at)) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    if (x[i] > at) {
        return y[i - 1] + (y[i] - y[i - 1]) * (at - x[i - 1]) / (x[i] - x[i - 1]);
    }
    return y[i];
}

std::vector<Polyline> steps(std::span<const double> x, const Samples& samples, const ColumnSamples& columns,
                            const Pyramid* pyramid, double least_spike) {
    assert(x.size() == samples.size());
    const Columns& grid = columns.columns;
    const auto middleOf = [&](int column) { return grid.from + (column + 0.5) * grid.width(); };
    std::vector<double> value;
    value.reserve(static_cast<Index>(grid.count));
    // A time within a column is looked for among its samples and one to either side.
    const auto valueIn = [&](Index c, double at) {
        const Index first = columns.border[c] > 0 ? columns.border[c] - 1 : 0;
        const Index count = std::min(columns.border[c + 1] + 1, x.size()) - first;
        return valueAt(x.subspan(first, count), samples.low_of.subspan(first, count), at);
    };
    for (int column = 0; column < grid.count; ++column) {
        value.push_back(valueIn(static_cast<Index>(column), middleOf(column)));
    }
    std::vector<Polyline> lines;
    Polyline line;
    for (int column = 0; column < grid.count; ++column) {
        const auto c = static_cast<Index>(column);
        if (!std::isfinite(value[c])) {
            finish(lines, line);
            continue;
        }
        const double left = grid.from + column * grid.width();
        line.push_back({.x = left, .y = value[c]});
        double low = value[c];
        double high = value[c];
        const double right = grid.from + (column + 1) * grid.width();
        for (const double beside : {c > 0 ? value[c - 1] : value[c], value[std::min(c + 1, value.size() - 1)],
                                    valueIn(c, left), valueIn(c, right)}) {
            if (std::isfinite(beside)) {
                low = std::min(low, beside);
                high = std::max(high, beside);
            }
        }
        const Extremes all = extremesWith(samples, pyramid, columns.border[c], columns.border[c + 1]);
        for (const double beyond : {static_cast<double>(all.low), static_cast<double>(all.high)}) {
            const double slack = std::max(least_spike, 1e-6 * std::abs(beyond)); // that of single precision at least
            if (!all.empty() && (beyond < low - slack || beyond > high + slack)) {
                line.push_back({.x = middleOf(column), .y = value[c]});
                line.push_back({.x = middleOf(column), .y = beyond});
                line.push_back({.x = middleOf(column), .y = value[c]});
            }
        }
        line.push_back({.x = right, .y = value[c]});
    }
    finish(lines, line);
    return lines;
}

std::vector<Polyline> steps(std::span<const double> x, std::span<const double> y, const Columns& columns) {
    return steps(x, samplesOf(y), columnSamples(x, columns), nullptr, 0.0);
}

} // namespace potwatch::report
