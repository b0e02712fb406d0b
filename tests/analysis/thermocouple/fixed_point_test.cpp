// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/fixed_point.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <random>
#include <vector>

namespace potwatch::thermocouple {
namespace {

struct Recording {
    std::vector<double> time_s;
    std::vector<double> value;
    [[nodiscard]] TraceView view() const { return {.time_s = time_s, .value = value}; }
};

Recording recorded(double end_s, const std::function<double(double)>& reading_c, double noise, std::uint64_t seed = 1) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    Recording made;
    for (double t = 0.0; t <= end_s; t += 1.0) {
        made.time_s.push_back(t);
        made.value.push_back(reading_c(t) + noise * normal(random));
    }
    return made;
}

// A probe of 4 s that lies in the room, comes into the bath at 100 s, and out again at 400 s.
double intoTheBath(double t, double bath_c) {
    const auto toward = [](double from_c, double to_c, double s) {
        return to_c + (from_c - to_c) * std::exp(-s / 4.0);
    };
    return t < 100.0 ? 22.0 : t < 400.0 ? toward(22.0, bath_c, t - 100.0) : toward(bath_c, 22.0, t - 400.0);
}

TEST(IcePoint, isFoundInARecordingThatBeginsInTheRoom) {
    const Recording record = recorded(
        600.0, [](double t) { return intoTheBath(t, 0.42); }, 0.1);
    const auto point = icePoint(record.view());
    ASSERT_TRUE(point) << describe(point.error());
    EXPECT_NEAR(point->reading_c, 0.42, 0.03);
    EXPECT_EQ(point->true_c, 0.0);
    EXPECT_GT(point->from_s, 105.0);
    EXPECT_LT(point->to_s, 405.0);
    EXPECT_GT(point->to_s - point->from_s, 200.0);
    EXPECT_GT(point->u_k, 0.05); // that of the bath
    EXPECT_LT(point->u_k, 0.07);
}

TEST(IcePoint, statesTheScatterOfItsMeanHonestly) {
    constexpr int repeats = 400;
    int inside = 0;
    for (std::uint64_t seed = 1; seed <= repeats; ++seed) {
        // Much noise, so that the bath's own uncertainty hardly counts.
        const Recording record = recorded(
            300.0, [](double) { return 0.3; }, 0.9, seed);
        const auto point = icePoint(record.view());
        ASSERT_TRUE(point);
        const double scatter_u_k = std::sqrt(point->u_k * point->u_k - 0.05 * 0.05);
        inside += std::abs(point->reading_c - 0.3) < 1.96 * scatter_u_k ? 1 : 0;
    }
    EXPECT_GT(inside, 0.9 * repeats);
    EXPECT_LT(inside, 0.99 * repeats);
}

TEST(IcePoint, ofRoundedReadingsCountsTheRounding) {
    Recording record = recorded(
        300.0, [](double t) { return intoTheBath(t + 100.0, 0.3); }, 0.0);
    for (double& value : record.value) {
        value = std::round(value / 0.5) * 0.5;
    }
    const auto point = icePoint(record.view());
    ASSERT_TRUE(point);
    EXPECT_NEAR(point->reading_c, 0.5, 0.02);
    EXPECT_NEAR(point->u_k, std::hypot(0.05, 0.5 / std::sqrt(12.0)), 2e-3);
}

TEST(IcePoint, refusesWhatIsNotSteady) {
    const Recording warming = recorded(
        300.0, [](double t) { return 0.02 * t; }, 0.05);
    const auto drifting = icePoint(warming.view());
    ASSERT_FALSE(drifting);
    EXPECT_EQ(drifting.error().kind, FaultKind::missing);
    EXPECT_NE(drifting.error().what.find("not steady"), std::string::npos);
    const Recording brief = recorded(
        40.0, [](double) { return 0.2; }, 0.05);
    const auto too_short = icePoint(brief.view());
    ASSERT_FALSE(too_short);
    EXPECT_NE(too_short.error().what.find("40 s long"), std::string::npos);
    EXPECT_FALSE(icePoint({}));
}

TEST(IcePoint, refusesAProbeThatWasElsewhere) {
    const Recording room = recorded(
        300.0, [](double) { return 22.0; }, 0.1);
    const auto point = icePoint(room.view());
    ASSERT_FALSE(point);
    EXPECT_EQ(point.error().kind, FaultKind::range);
    EXPECT_NE(point.error().what.find("22.0 °C"), std::string::npos);
}

// Source of the boiling points: IAPWS R7-97(2012), region 4: 99.974 °C at 101.325 kPa, 93.486 °C at 80 kPa.
TEST(BoilingPoint, goesByTheAirPressure) {
    const Recording record = recorded(
        600.0, [](double t) { return intoTheBath(t, 93.0); }, 0.1);
    const auto point = boilingPoint(record.view(), 80.0);
    ASSERT_TRUE(point);
    EXPECT_NEAR(point->true_c, 93.486, 0.001);
    EXPECT_NEAR(point->reading_c, 93.0, 0.03);
    EXPECT_GT(point->u_k, 0.13); // 0.1 K of the bath, 0.3 kPa of the pressure at 0.33 K/kPa
    EXPECT_LT(point->u_k, 0.16);
    const auto at_sea = boilingPoint(record.view(), 101.325);
    ASSERT_FALSE(at_sea);
    EXPECT_NE(at_sea.error().what.find("boiling water"), std::string::npos);
    EXPECT_FALSE(boilingPoint(record.view(), 1.013));
    EXPECT_TRUE(boilingPoint(recorded(
                                 300.0, [](double) { return 76.0; }, 0.1)
                                 .view(),
                             40.0)); // the range's ends
    EXPECT_TRUE(boilingPoint(recorded(
                                 300.0, [](double) { return 102.0; }, 0.1)
                                 .view(),
                             110.0));
}

} // namespace
} // namespace potwatch::thermocouple
