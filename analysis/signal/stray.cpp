// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/stray.h"

#include <algorithm>
#include <cmath>

namespace potwatch::signal {

namespace {

constexpr std::size_t few_rows = 16;
constexpr double few_share = 0.01;
constexpr double longest_counted = 100.0; // usual intervals
constexpr double absurdly_long = 20.0;    // times the recorded time

struct Times {
    std::vector<std::size_t> order; // rows by their time
    std::span<const double> time_s;

    [[nodiscard]] double at(std::size_t place) const { return time_s[order[place]]; }
    [[nodiscard]] double gapAfter(std::size_t place) const { return at(place + 1) - at(place); }
};

double medianOf(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

Stray strayOf(const Times& times, std::size_t first, std::size_t end, double away_s) {
    Stray stray{.first_s = times.at(first), .away_s = away_s};
    stray.rows.assign(times.order.begin() + static_cast<std::ptrdiff_t>(first),
                      times.order.begin() + static_cast<std::ptrdiff_t>(end));
    std::sort(stray.rows.begin(), stray.rows.end());
    return stray;
}

} // namespace

std::vector<Stray> strayRows(std::span<const double> time_s) {
    Times times{.order = {}, .time_s = time_s};
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        if (std::isfinite(time_s[i])) {
            times.order.push_back(i);
        }
    }
    if (times.order.size() < 3) {
        return {};
    }
    std::stable_sort(times.order.begin(), times.order.end(),
                     [&](std::size_t a, std::size_t b) { return time_s[a] < time_s[b]; });
    const std::size_t count = times.order.size();
    std::vector<double> intervals;
    for (std::size_t i = 0; i + 1 < count; ++i) {
        intervals.push_back(times.gapAfter(i));
    }
    const double counted_s = longest_counted * medianOf(intervals);
    double recorded_s = 0.0;
    std::vector<std::size_t> long_gaps; // places before them
    for (std::size_t i = 0; i + 1 < count; ++i) {
        recorded_s += std::min(intervals[i], counted_s);
        if (intervals[i] > counted_s) {
            long_gaps.push_back(i);
        }
    }
    std::stable_sort(long_gaps.begin(), long_gaps.end(),
                     [&](std::size_t a, std::size_t b) { return intervals[a] > intervals[b]; });
    std::vector<Stray> strays;
    std::size_t first = 0; // of what is kept
    std::size_t end = count;
    for (const std::size_t gap : long_gaps) {
        if (gap < first || gap + 1 >= end || intervals[gap] <= recorded_s) {
            continue; // it was cut off already, or is no longer than a pause may be
        }
        const std::size_t before = gap + 1 - first;
        const std::size_t behind = end - gap - 1;
        const std::size_t smaller = std::min(before, behind);
        const bool few = smaller < few_rows || static_cast<double>(smaller) < few_share * static_cast<double>(count);
        if (smaller == std::max(before, behind) || (!few && intervals[gap] <= absurdly_long * recorded_s)) {
            continue;
        }
        if (before < behind) {
            strays.push_back(strayOf(times, first, gap + 1, intervals[gap]));
            first = gap + 1;
        } else {
            strays.push_back(strayOf(times, gap + 1, end, intervals[gap]));
            end = gap + 1;
        }
    }
    return strays;
}

} // namespace potwatch::signal
