// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/probes_at_rest.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::thermocouple {
namespace {

constexpr double missing = std::numeric_limits<double>::quiet_NaN();

// Thirty seconds, two readings a second.
class ProbesAtRestTest : public testing::Test {
protected:
    ProbesAtRestTest() {
        for (int i = 0; i <= 60; ++i) {
            time_s.push_back(0.5 * i);
        }
    }
    [[nodiscard]] std::vector<double> readings(double start_c, double change_k) const {
        std::vector<double> values;
        for (std::size_t i = 0; i < time_s.size(); ++i) {
            const double noise_k = 0.1 * std::sin(7.0 * static_cast<double>(i * i));
            values.push_back(start_c + change_k * time_s[i] / time_s.back() + noise_k);
        }
        return values;
    }
    std::vector<double> time_s;
};

TEST_F(ProbesAtRestTest, tellsHowFarApartTheyRead) {
    const auto rest = probesAtRest(time_s, {readings(21.8, 0.0), readings(22.6, 0.1), readings(21.5, 0.0)});
    ASSERT_TRUE(rest);
    EXPECT_EQ(rest->lowest, 2U);
    EXPECT_EQ(rest->highest, 1U);
    EXPECT_NEAR(rest->mean_c[0], 21.8, 0.05);
    EXPECT_NEAR(rest->apart_k, 22.65 - 21.5, 0.01); // the noise is the same
}

TEST_F(ProbesAtRestTest, saysNothingWhileOneOfThemMoves) {
    EXPECT_FALSE(probesAtRest(time_s, {readings(21.8, 0.0), readings(22.0, 0.5)}));
    EXPECT_FALSE(probesAtRest(time_s, {readings(21.8, -0.5), readings(22.0, 0.0)}));
}

TEST_F(ProbesAtRestTest, needsTwoProbesAndTimeAndReadings) {
    EXPECT_FALSE(probesAtRest(time_s, {readings(21.8, 0.0)}));
    EXPECT_FALSE(probesAtRest({}, {{}, {}}));
    std::vector<double> broken = readings(22.0, 0.0);
    std::fill(broken.begin() + 7, broken.end(), missing);
    EXPECT_FALSE(probesAtRest(time_s, {readings(21.8, 0.0), broken}));
    std::vector<double> gaps = readings(22.0, 0.0);
    gaps[3] = gaps[40] = missing;
    EXPECT_TRUE(probesAtRest(time_s, {readings(21.8, 0.0), gaps}));
    time_s.resize(50); // 24.5 s
    EXPECT_FALSE(probesAtRest(time_s, {readings(21.8, 0.0), readings(21.8, 0.0)}));
}

} // namespace
} // namespace potwatch::thermocouple
