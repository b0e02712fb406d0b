// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/geometry.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace potwatch::report {
namespace {

constexpr Box box{.left = 0.0, .top = 0.0, .right = 10.0, .bottom = 10.0};

Polyline randomLine(unsigned seed, int count) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> uniform(-30.0, 40.0);
    Polyline line;
    for (int i = 0; i < count; ++i) {
        line.push_back({.x = uniform(random), .y = uniform(random)});
    }
    return line;
}

TEST(ClippedLine, endsOnTheBorder) {
    const auto parts = clipped({{-5.0, 5.0}, {5.0, 5.0}, {5.0, 15.0}}, box);
    ASSERT_EQ(parts.size(), 1U);
    EXPECT_EQ(parts.front(), (Polyline{{0.0, 5.0}, {5.0, 5.0}, {5.0, 10.0}}));
}

TEST(ClippedLine, comesBackAsAPartOfItsOwn) {
    EXPECT_EQ(clipped({{5.0, 5.0}, {5.0, 20.0}, {8.0, 20.0}, {8.0, 5.0}}, box).size(), 2U);
}

TEST(ClippedLine, isNothingOutside) {
    EXPECT_TRUE(clipped({{-5.0, 2.0}, {2.0, -8.0}}, box).empty());
    EXPECT_TRUE(clipped({{20.0, 20.0}}, box).empty());
    EXPECT_EQ(clipped({{5.0, 5.0}}, box).size(), 1U);
}

TEST(ClippedLine, staysWhereItWasAndWithinTheBox) {
    for (unsigned seed = 1; seed <= 50; ++seed) {
        const Polyline line = randomLine(seed, 60);
        for (const Polyline& part : clipped(line, box)) {
            for (const Point& p : part) {
                EXPECT_TRUE(box.contains(p)) << p.x << " " << p.y;
                EXPECT_LT(distance(p, line), 1e-9);
            }
        }
    }
}

TEST(ClippedPolygon, coversTheBoxThatItSurrounds) {
    const Polyline whole = clippedPolygon({{-50.0, -50.0}, {50.0, -50.0}, {50.0, 50.0}, {-50.0, 50.0}}, box);
    ASSERT_EQ(whole.size(), 4U);
    for (const Point& p : whole) {
        EXPECT_TRUE((p.x == 0.0 || p.x == 10.0) && (p.y == 0.0 || p.y == 10.0));
    }
}

TEST(ClippedPolygon, staysWithinTheBox) {
    constexpr double rounding = 1e-9;
    for (unsigned seed = 1; seed <= 50; ++seed) {
        for (const Point& p : clippedPolygon(randomLine(seed, 12), box)) {
            EXPECT_GE(std::min(p.x, p.y), -rounding);
            EXPECT_LE(std::max(p.x, p.y), 10.0 + rounding);
        }
    }
}

TEST(SimplifiedLine, leavesEveryPointWithinTheTolerance) {
    Polyline line;
    for (int i = 0; i <= 2000; ++i) {
        line.push_back({.x = 0.1 * i, .y = 20.0 * std::sin(0.02 * i) + (i == 777 ? 8.0 : 0.0)});
    }
    const Polyline shorter = simplified(line, 0.05);
    EXPECT_LT(shorter.size(), line.size() / 5);
    for (const Point& p : line) {
        EXPECT_LE(distance(p, shorter), 0.05);
    }
    EXPECT_EQ(shorter.front(), line.front());
    EXPECT_EQ(shorter.back(), line.back());
}

} // namespace
} // namespace potwatch::report
