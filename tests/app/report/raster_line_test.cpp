// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/raster_line.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace potwatch::report {
namespace {

Polyline noise(unsigned seed, std::size_t count, double step, double height) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(0.0, 1.0);
    Polyline line;
    for (std::size_t i = 0; i < count; ++i) {
        line.push_back({.x = step * static_cast<double>(i), .y = height * uniform(random)});
    }
    return line;
}

TEST(ThinnedLine, staysWithinItsTolerance) {
    Polyline line;
    for (int i = 0; i < 5000; ++i) {
        const double x = 0.2 * i;
        line.push_back({.x = x, .y = 100.0 + 80.0 * std::sin(x / 40.0) + (i == 2500 ? 30.0 : 0.0)});
    }
    constexpr double tolerance = 0.05;
    const Polyline shorter = thinned(line, tolerance);
    EXPECT_LT(shorter.size(), line.size() / 5);
    EXPECT_EQ(shorter.front(), line.front());
    EXPECT_EQ(shorter.back(), line.back());
    for (const Point& p : line) {
        EXPECT_LE(distance(p, shorter), tolerance * 1.0001);
    }
}

TEST(ThinnedLine, keepsUprightPieces) {
    const Polyline line{{0.0, 5.0}, {1.0, 5.0}, {1.0, 90.0}, {1.0, 5.0}, {2.0, 5.0}};
    EXPECT_DOUBLE_EQ(verticalTravel(thinned(line, 0.05)), verticalTravel(line));
}

TEST(ColumnBoxes, coverEveryPoint) {
    const Polyline line = noise(1, 4000, 0.25, 200.0);
    const auto boxes = columnBoxes(line, 0.0, 1.0, 2.4);
    EXPECT_LE(boxes.size(), 1001U);
    for (const Point& p : line) {
        EXPECT_TRUE(std::any_of(boxes.begin(), boxes.end(), [&](const Box& box) { return box.contains(p); }));
    }
}

TEST(ColumnBoxes, joinColumnToColumn) {
    const Polyline rising{{0.5, 0.0}, {1.5, 40.0}, {2.5, 90.0}, {7.5, 90.0}};
    const auto boxes = columnBoxes(rising, 0.0, 1.0, 1.0);
    for (std::size_t i = 1; i < boxes.size(); ++i) {
        EXPECT_LE(boxes[i].left, boxes[i - 1].right);
        EXPECT_LE(boxes[i].top, boxes[i - 1].bottom);
        EXPECT_GE(boxes[i].bottom, boxes[i - 1].top);
    }
}

TEST(ColumnsToALevel, touchAndReachTheLevelAndTheLine) {
    const Polyline line = noise(2, 400, 0.3, 50.0);
    const auto boxes = columnsTo(60.0, line, 0.0, 1.0);
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        EXPECT_EQ(boxes[i].bottom, 60.0);
        EXPECT_NEAR(boxes[i].left, static_cast<double>(i), 1e-9);
        EXPECT_NEAR(boxes[i].width(), 1.0, 1e-9);
    }
}

} // namespace
} // namespace potwatch::report
