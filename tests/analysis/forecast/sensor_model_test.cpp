// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/sensor_model.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::forecast {
namespace {

std::vector<double> seconds(int count) {
    std::vector<double> result;
    for (int i = 0; i < count; ++i) {
        result.push_back(i);
    }
    return result;
}

std::vector<double> read(const std::vector<double>& temperature_c, const SensorModel& sensor, unsigned seed = 1) {
    std::mt19937_64 random(seed);
    return readings(seconds(static_cast<int>(temperature_c.size())), temperature_c, sensor, random);
}

TEST(SensorModel, readsTheTemperatureWhenIdeal) {
    const auto ramp = seconds(50);
    EXPECT_EQ(read(ramp, {}), ramp);
}

TEST(SensorModel, followsARampByRateTimesLag) {
    const auto reading = read(seconds(200), {.lag_s = 4.0});
    EXPECT_NEAR(reading[199], 199.0 - 4.0, 1e-9);
    EXPECT_NEAR(reading[4], 4.0 - 4.0 * (1.0 - std::exp(-1.0)), 1e-12);
}

TEST(SensorModel, addsNoiseOfItsStandardDeviation) {
    const auto reading = read(std::vector<double>(40000, 20.0), {.noise_k = 0.3});
    double sum = 0.0;
    double square = 0.0;
    for (const double value : reading) {
        sum += value - 20.0;
        square += (value - 20.0) * (value - 20.0);
    }
    EXPECT_NEAR(sum / 40000.0, 0.0, 0.006);
    EXPECT_NEAR(std::sqrt(square / 40000.0), 0.3, 0.005);
}

TEST(SensorModel, givesWholeSteps) {
    for (const double value : read(seconds(100), {.lag_s = 2.0, .noise_k = 0.1, .step_k = 0.25})) {
        EXPECT_EQ(value * 4.0, std::round(value * 4.0));
    }
}

TEST(SensorModel, repeatsItselfForTheSameSeedOnly) {
    const SensorModel sensor{.noise_k = 0.1};
    EXPECT_EQ(read(seconds(20), sensor, 7), read(seconds(20), sensor, 7));
    EXPECT_NE(read(seconds(20), sensor, 7), read(seconds(20), sensor, 8));
}

TEST(SensorModel, readsNothingOfNothing) {
    EXPECT_TRUE(read({}, {.lag_s = 1.0}).empty());
}

} // namespace
} // namespace potwatch::forecast
