// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/chemistry/water.h"
#include "analysis/thermocouple/reference_function.h"

#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::law {
namespace {

using thermocouple::Type;

class Thermocouples : public testing::TestWithParam<Type> {};

TEST_P(Thermocouples, voltageRisesWithTheTemperature) {
    const auto range = thermocouple::rangeOf(GetParam());
    // Type B falls up to 21 °C.
    const double from_c = GetParam() == Type::B ? 22.0 : range.low_c;
    constexpr int steps = 20000;
    double before_mv = *thermocouple::electromotiveForceMv(GetParam(), from_c);
    for (int i = 1; i <= steps; ++i) {
        const double temperature_c = i == steps ? range.high_c : from_c + (range.high_c - from_c) * i / steps;
        const double emf_mv = *thermocouple::electromotiveForceMv(GetParam(), temperature_c);
        ASSERT_GT(emf_mv, before_mv) << temperature_c;
        before_mv = emf_mv;
    }
}

TEST_P(Thermocouples, joinTheirPiecesWithoutAStep) {
    const auto range = thermocouple::rangeOf(GetParam());
    for (const double joint_c : {0.0, 630.615, 760.0, 1064.18, 1664.5}) {
        if (joint_c <= range.low_c || joint_c >= range.high_c) {
            continue;
        }
        const double below_mv = *thermocouple::electromotiveForceMv(GetParam(), joint_c - 1e-9);
        const double above_mv = *thermocouple::electromotiveForceMv(GetParam(), joint_c + 1e-9);
        // The published coefficients leave 0.08 nV at worst (type J at 760 °C).
        EXPECT_NEAR(above_mv, below_mv, 1e-7) << joint_c;
    }
}

INSTANTIATE_TEST_SUITE_P(Law, Thermocouples,
                         testing::Values(Type::B, Type::E, Type::J, Type::K, Type::N, Type::R, Type::S, Type::T),
                         [](const auto& type) { return std::string(thermocouple::nameOf(type.param)); });

TEST(Water, saturationPressureRisesWithTheTemperature) {
    double before_kpa = *chemistry::saturationPressureKpa(0.0);
    for (int i = 1; i < 3739; ++i) {
        const double pressure_kpa = *chemistry::saturationPressureKpa(0.1 * i);
        ASSERT_GT(pressure_kpa, before_kpa);
        before_kpa = pressure_kpa;
    }
}

// Clausius and Clapeyron: dp/dT = p L M / (R T^2) for an ideal vapour, which steam is to 1.5 % up to 100 °C.
TEST(Water, saturationPressureAndHeatOfEvaporationBelongTogether) {
    for (double temperature_c = 5.0; temperature_c <= 100.0; temperature_c += 5.0) {
        const double slope = (*chemistry::saturationPressureKpa(temperature_c + 0.01) -
                              *chemistry::saturationPressureKpa(temperature_c - 0.01)) /
                             0.02;
        const double temperature_k = temperature_c + 273.15;
        const double ideal = *chemistry::saturationPressureKpa(temperature_c) *
                             chemistry::latentHeatJPerG(temperature_c) * 18.01528 /
                             (8.31446261815324 * temperature_k * temperature_k);
        EXPECT_NEAR(ideal / slope, 1.0, 0.02) << temperature_c;
    }
}

} // namespace
} // namespace potwatch::law
