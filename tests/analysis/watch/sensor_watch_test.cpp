// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/sensor_watch.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace potwatch::watch {
namespace {

constexpr double no_reading = std::numeric_limits<double>::quiet_NaN();

double rounded(double value) {
    return 0.25 * std::round(value / 0.25);
}

TEST(SensorWatch, saysThatAChannelIsOpen) {
    SensorWatch sensor;
    for (double t = 0.0; t < 10.0; t += 0.5) {
        sensor.add(t, 22.0, std::nullopt);
    }
    sensor.add(10.0, no_reading, std::nullopt);
    EXPECT_FALSE(sensor.open()) << "one empty cell is no open sensor";
    for (double t = 10.5; t <= 13.0; t += 0.5) {
        sensor.add(t, no_reading, std::nullopt);
    }
    EXPECT_TRUE(sensor.open());
    sensor.add(13.5, 22.0, std::nullopt);
    EXPECT_FALSE(sensor.open());
}

TEST(SensorWatch, aChannelThatComesEveryTenthScanIsNotOpen) {
    SensorWatch sensor;
    for (int i = 0; i < 600; ++i) {
        sensor.add(i, i % 10 == 0 ? 20.0 : no_reading, std::nullopt);
        EXPECT_FALSE(sensor.open()) << i;
    }
}

TEST(SensorWatch, anInputThatIsNotUsedIsSilentNotOpen) {
    SensorWatch sensor;
    for (int i = 0; i < 100; ++i) {
        sensor.add(i, no_reading, std::nullopt);
    }
    EXPECT_TRUE(sensor.silent());
    EXPECT_FALSE(sensor.open());
}

TEST(SensorWatch, saysThatAReadingIsFrozenWhileItShouldMove) {
    std::mt19937_64 random(3);
    std::normal_distribution<double> noise(0.0, 0.2);
    SensorWatch sensor;
    double held = 0.0;
    double frozen_at_s = 0.0;
    for (double t = 0.0; t < 300.0; t += 0.5) {
        if (t <= 200.0) {
            held = rounded(40.0 + 4.0 * t / 60.0 + noise(random));
        }
        sensor.add(t, held, 4.0 / 60.0);
        if (sensor.frozen() && frozen_at_s == 0.0) {
            frozen_at_s = t;
        }
    }
    EXPECT_GT(frozen_at_s, 215.0);
    EXPECT_LT(frozen_at_s, 240.0);
    sensor.add(300.0, held + 1.0, std::nullopt);
    EXPECT_FALSE(sensor.frozen());
}

TEST(SensorWatch, aPotAtRestIsNotFrozen) {
    SensorWatch still; // without noise, the last digit stands
    for (double t = 0.0; t < 7200.0; t += 0.5) {
        still.add(t, rounded(22.0 + 1e-4 * t), std::nullopt);
        ASSERT_FALSE(still.frozen()) << t;
    }
    SensorWatch slow; // a slow staircase, whose trend says that it moves
    for (double t = 0.0; t < 7200.0; t += 0.5) {
        slow.add(t, rounded(22.0 + 0.2 * t / 60.0), 0.2 / 60.0);
        ASSERT_FALSE(slow.frozen()) << t;
    }
}

} // namespace
} // namespace potwatch::watch
