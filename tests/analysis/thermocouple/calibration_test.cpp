// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/calibration.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::thermocouple {
namespace {

ProbeCalibration both(double ice_c, double boiling_c, double pressure_kpa) {
    return {.ice_reading_c = ice_c,
            .ice_u_k = 0.06,
            .boiling_reading_c = boiling_c,
            .boiling_u_k = 0.14,
            .boiling_pressure_kpa = pressure_kpa};
}

TEST(Correction, isRightAtBothPoints) {
    const auto correction = correctionOf(both(0.8, 98.9, 101.325));
    ASSERT_TRUE(correction);
    EXPECT_NEAR(correction->at(0.8), 0.0, 1e-12);
    EXPECT_NEAR(correction->at(98.9), 99.974, 0.001); // IAPWS-IF97 at 101.325 kPa
    EXPECT_NEAR(correction->at(49.85), 49.987, 0.001);
    EXPECT_EQ(correction->u_k, 0.14);
}

TEST(Correction, goesByTheAirPressureOfTheDay) {
    // Source of the boiling point: IAPWS R7-97(2012), region 4: 93.486 °C at 80 kPa.
    const auto correction = correctionOf(both(0.0, 93.486, 80.0));
    ASSERT_TRUE(correction);
    EXPECT_NEAR(correction->scale, 1.0, 1e-5);
}

TEST(Correction, ofOnePointMovesAllReadingsAndIsLessSure) {
    const auto ice = correctionOf({.ice_reading_c = 0.8, .ice_u_k = 0.06});
    ASSERT_TRUE(ice);
    EXPECT_NEAR(ice->at(60.8), 60.0, 1e-12);
    EXPECT_NEAR(ice->u_k, std::hypot(0.06, 0.75 / std::sqrt(3.0)), 1e-12);
    const auto boiling =
        correctionOf({.boiling_reading_c = 99.0, .boiling_u_k = 0.14, .boiling_pressure_kpa = 101.325});
    ASSERT_TRUE(boiling);
    EXPECT_NEAR(boiling->at(99.0), 99.974, 0.001);
    EXPECT_EQ(boiling->scale, 1.0);
    EXPECT_GT(boiling->u_k, 0.4);
}

TEST(Correction, ofNothingChangesNothing) {
    const auto none = correctionOf({});
    ASSERT_TRUE(none);
    EXPECT_EQ(*none, Correction());
}

TEST(Correction, refusesWhatCannotBe) {
    const auto swapped = correctionOf(both(99.0, 0.5, 101.3));
    ASSERT_FALSE(swapped);
    EXPECT_NE(swapped.error().what.find("melting ice"), std::string::npos);
    EXPECT_FALSE(correctionOf(both(0.0, 80.0, 101.3)));
    const auto in_bar = correctionOf(both(0.0, 100.0, 1.013));
    ASSERT_FALSE(in_bar);
    EXPECT_NE(in_bar.error().what.find("1.013 kPa"), std::string::npos);
    EXPECT_FALSE(correctionOf(both(std::nan(""), 100.0, 101.3)));
    const auto no_pressure = correctionOf({.boiling_reading_c = 99.0});
    ASSERT_FALSE(no_pressure);
    EXPECT_EQ(no_pressure.error().kind, FaultKind::missing);
}

} // namespace
} // namespace potwatch::thermocouple
