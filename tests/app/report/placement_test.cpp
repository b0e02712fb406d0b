// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/placement.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::report {
namespace {

TEST(FlagRows, keepLabelsAboveThePolesTheySpan) {
    const std::vector<double> poles{0.0, 5.0, 6.0, 100.0};
    const std::vector<Extent> extents{{0.0, 30.0}, {5.0, 30.0}, {6.0, 30.0}, {100.0, 130.0}};
    EXPECT_EQ(flagRows(poles, extents), (std::vector<int>{2, 1, 0, 0}));
}

TEST(FlagRows, lieOnOneRowWhereThereIsRoom) {
    const std::vector<double> poles{0.0, 50.0, 100.0};
    const std::vector<Extent> extents{{0.0, 40.0}, {50.0, 90.0}, {100.0, 140.0}};
    EXPECT_EQ(flagRows(poles, extents), (std::vector<int>{0, 0, 0}));
}

TEST(PackedRows, moveAnOverlappingOneToTheNextRow) {
    const std::vector<Extent> extents{{0.0, 10.0}, {5.0, 15.0}, {10.0, 20.0}};
    EXPECT_EQ(packedRows(extents, -0.5), (std::vector<int>{0, 1, 0}));
    EXPECT_EQ(packedRows(extents, 1.0), (std::vector<int>{0, 1, 2}));
}

PinRules rulesFor(const std::vector<Polyline>& trace) {
    return {.bounds = {.left = 0.0, .top = 0.0, .right = 400.0, .bottom = 300.0},
            .radius = 8.5,
            .clear_of_trace = 11.5,
            .trace = trace,
            .verticals = {}};
}

TEST(PlacedPins, keepClearOfTheTraceAndOfEachOther) {
    const std::vector<Polyline> trace{{{0.0, 250.0}, {190.0, 250.0}, {210.0, 50.0}, {400.0, 200.0}}};
    const std::vector<Point> anchors{{185.0, 250.0}, {192.0, 230.0}, {200.0, 150.0}, {210.0, 50.0}};
    const std::vector<Point> pins = placedPins(anchors, rulesFor(trace));
    ASSERT_EQ(pins.size(), 4U);
    for (std::size_t i = 0; i < pins.size(); ++i) {
        EXPECT_GE(distance(pins[i], trace.front()), 11.5) << i;
        for (std::size_t j = 0; j < i; ++j) {
            EXPECT_GE(std::hypot(pins[i].x - pins[j].x, pins[i].y - pins[j].y), 17.0) << i << " " << j;
        }
    }
}

TEST(PlacedPins, stayInThePaneInItsCorners) {
    const std::vector<Polyline> trace{{{0.0, 0.0}, {400.0, 300.0}}};
    const std::vector<Point> anchors{{0.0, 0.0}, {400.0, 300.0}};
    for (const Point& pin : placedPins(anchors, rulesFor(trace))) {
        EXPECT_GE(std::min(pin.x, pin.y), 8.5);
        EXPECT_LE(pin.x, 391.5);
        EXPECT_LE(pin.y, 291.5);
    }
}

TEST(PlacedPins, doNotLieOnEachOtherEvenAtOnePoint) {
    const std::vector<Polyline> trace;
    const std::vector<Point> anchors(6, Point{200.0, 150.0});
    const std::vector<Point> pins = placedPins(anchors, rulesFor(trace));
    for (std::size_t i = 0; i < pins.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            EXPECT_GE(std::hypot(pins[i].x - pins[j].x, pins[i].y - pins[j].y), 17.0) << i << " " << j;
        }
    }
}

} // namespace
} // namespace potwatch::report
