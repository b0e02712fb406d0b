// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/decimation.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <random>

namespace potwatch::report {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

struct Trace {
    std::vector<double> x;
    std::vector<double> y;
};

// Noise on uneven times, some of it missing.
Trace randomTrace(unsigned seed, std::size_t count, double missing) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    Trace trace;
    double x = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        x += 0.01 + uniform(random);
        trace.x.push_back(x);
        trace.y.push_back(uniform(random) < missing ? nan : std::tan(3.0 * uniform(random) - 1.5));
    }
    return trace;
}

std::vector<Point> pointsOf(const std::vector<Polyline>& lines) {
    std::vector<Point> points;
    for (const Polyline& line : lines) {
        points.insert(points.end(), line.begin(), line.end());
    }
    return points;
}

struct ColumnExtremes {
    double first = nan;
    double low = std::numeric_limits<double>::infinity();
    double high = -std::numeric_limits<double>::infinity();
    double last = nan;

    bool operator==(const ColumnExtremes&) const = default;
};

std::map<long, ColumnExtremes> extremesByColumn(const std::vector<Point>& points, const Columns& columns) {
    std::map<long, ColumnExtremes> found;
    for (const Point& p : points) {
        if (!std::isfinite(p.y) || p.x < columns.from || p.x > columns.to) {
            continue;
        }
        const long column = std::min(static_cast<long>((p.x - columns.from) / columns.width()), columns.count - 1L);
        ColumnExtremes& e = found[column];
        e.first = std::isnan(e.first) ? p.y : e.first;
        e.low = std::min(e.low, p.y);
        e.high = std::max(e.high, p.y);
        e.last = p.y;
    }
    return found;
}

TEST(Decimation, keepsFirstLowestHighestAndLastOfEveryColumnAsAScanOfAllSamplesDoes) {
    for (unsigned seed = 1; seed <= 40; ++seed) {
        const Trace trace = randomTrace(seed, 3000, seed % 4 == 0 ? 0.0 : 0.15 * (seed % 4));
        std::vector<Point> all;
        for (std::size_t i = 0; i < trace.x.size(); ++i) {
            all.push_back({.x = trace.x[i], .y = trace.y[i]});
        }
        const Columns columns{.from = 100.0 + seed, .to = 1200.0, .count = 97};
        const auto thinned = pointsOf(decimate(trace.x, trace.y, columns));
        EXPECT_EQ(extremesByColumn(thinned, columns), extremesByColumn(all, columns)) << "seed " << seed;
    }
}

TEST(Decimation, keepsOnlySamplesAndTheirOrder) {
    const Trace trace = randomTrace(7, 5000, 0.1);
    std::map<double, double> samples;
    for (std::size_t i = 0; i < trace.x.size(); ++i) {
        samples[trace.x[i]] = trace.y[i];
    }
    double before = -1.0;
    for (const Point& p : pointsOf(decimate(trace.x, trace.y, {.from = 0.0, .to = 3000.0, .count = 200}))) {
        EXPECT_EQ(samples.at(p.x), p.y);
        EXPECT_GT(p.x, before);
        before = p.x;
    }
}

TEST(Decimation, hasAtMostFourPointsAColumn) {
    const Trace trace = randomTrace(3, 100000, 0.0);
    const Columns columns{.from = trace.x.front(), .to = trace.x.back(), .count = 500};
    EXPECT_LE(pointsOf(decimate(trace.x, trace.y, columns)).size(), 4U * 500U);
}

TEST(Decimation, keepsASpikeOfOneSample) {
    Trace trace;
    for (int i = 0; i < 1000000; ++i) {
        trace.x.push_back(i);
        trace.y.push_back(i == 654321 ? 99.0 : 20.0);
    }
    const auto points = pointsOf(decimate(trace.x, trace.y, {.from = 0.0, .to = 999999.0, .count = 800}));
    EXPECT_TRUE(std::any_of(points.begin(), points.end(), [](const Point& p) { return p.x == 654321 && p.y == 99.0; }));
}

TEST(Decimation, keepsOneSampleBeyondEitherEnd) {
    const std::vector<double> x{0.0, 1.0, 2.0, 3.0, 4.0, 5.0};
    const auto points = pointsOf(decimate(x, x, {.from = 1.5, .to = 3.5, .count = 10}));
    EXPECT_EQ(points.front().x, 1.0);
    EXPECT_EQ(points.back().x, 4.0);
}

TEST(Decimation, partsTheLineAtAGapAsWideAsAColumnAndNotAtANarrowerOne) {
    const std::vector<double> x{0.0, 1.0, 2.0, 3.0, 4.0};
    const std::vector<double> y{1.0, 1.0, nan, 1.0, 1.0};
    EXPECT_EQ(decimate(x, y, {.from = 0.0, .to = 4.0, .count = 40}).size(), 2U);
    EXPECT_EQ(decimate(x, y, {.from = 0.0, .to = 4.0, .count = 1}).size(), 1U);
}

TEST(Decimation, drawsNothingWhereNothingIsKnown) {
    const std::vector<double> x{0.0, 1.0};
    const std::vector<double> y{nan, nan};
    const Columns columns{.from = 0.0, .to = 1.0, .count = 5};
    EXPECT_TRUE(decimate(x, y, columns).empty());
    EXPECT_TRUE(decimateBand(x, y, y, columns).empty());
    EXPECT_TRUE(steps(x, y, columns).empty());
    EXPECT_TRUE(decimate({}, {}, columns).empty());
}

TEST(DecimatedBand, reachesTheLowestAndHighestOfEveryColumn) {
    const Trace low = randomTrace(5, 4000, 0.0);
    std::vector<double> high = low.y;
    for (double& y : high) {
        y += 1.0;
    }
    const Columns columns{.from = low.x.front(), .to = low.x.back(), .count = 150};
    std::vector<Point> all;
    for (std::size_t i = 0; i < low.x.size(); ++i) {
        all.push_back({.x = low.x[i], .y = low.y[i]});
        all.push_back({.x = low.x[i], .y = high[i]});
    }
    const auto wanted = extremesByColumn(all, columns);
    for (const auto& found : extremesByColumn(pointsOf(decimateBand(low.x, low.y, high, columns)), columns)) {
        EXPECT_EQ(found.second.low, wanted.at(found.first).low);
        EXPECT_EQ(found.second.high, wanted.at(found.first).high);
    }
}

TEST(DecimatedBand, isPartedWhereEitherSideIsMissing) {
    const std::vector<double> x{0.0, 1.0, 2.0, 3.0, 4.0};
    const std::vector<double> low{0.0, 0.0, nan, 0.0, 0.0};
    const std::vector<double> high{1.0, 1.0, 1.0, 1.0, 1.0};
    EXPECT_EQ(decimateBand(x, low, high, {.from = 0.0, .to = 4.0, .count = 40}).size(), 2U);
}

TEST(Steps, holdTheValueAtTheMiddleOfEachColumn) {
    const std::vector<double> x{0.0, 10.0};
    const std::vector<double> y{0.0, 1.0};
    const auto lines = steps(x, y, {.from = 0.0, .to = 10.0, .count = 2});
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_EQ(lines.front(), (Polyline{{0.0, 0.25}, {5.0, 0.25}, {5.0, 0.75}, {10.0, 0.75}}));
}

TEST(Steps, letASpikeStickOutAndNoNoise) {
    std::vector<double> x;
    std::vector<double> y;
    for (int i = 0; i < 1000; ++i) {
        x.push_back(i);
        y.push_back(i == 537 ? 0.9 : 0.3 + (i % 7 == 3 ? 0.002 : 0.0));
    }
    const ColumnSamples columns = columnSamples(x, {.from = 0.0, .to = 999.0, .count = 20});
    std::vector<double> heights;
    for (const Point& p : pointsOf(steps(x, samplesOf(y), columns, nullptr, 0.01))) {
        if (p.y > 0.31) {
            heights.push_back(p.y);
        } else {
            EXPECT_LE(p.y, 0.302); // the middles of columns lie between samples
            EXPECT_GE(p.y, 0.3);
        }
    }
    ASSERT_EQ(heights.size(), 1U);
    EXPECT_FLOAT_EQ(static_cast<float>(heights.front()), 0.9F);
}

} // namespace
} // namespace potwatch::report
