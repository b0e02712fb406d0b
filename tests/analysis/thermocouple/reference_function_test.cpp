// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/thermocouple/reference_function.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace potwatch::thermocouple {
namespace {

using testing::HasSubstr;

constexpr Type all_types[] = {Type::B, Type::E, Type::J, Type::K, Type::N, Type::R, Type::S, Type::T};

class EveryType : public testing::TestWithParam<Type> {};

TEST_P(EveryType, goesThereAndBackToAMillionthOfAKelvin) {
    const Range range = rangeOf(GetParam());
    const double from_c = GetParam() == Type::B ? 45.0 : range.low_c;
    for (int i = 0; i <= 997; ++i) {
        const double temperature_c = from_c + (range.high_c - from_c) * i / 997.0;
        const auto emf_mv = electromotiveForceMv(GetParam(), temperature_c);
        ASSERT_TRUE(emf_mv);
        const auto hot = hotJunctionAt(GetParam(), *emf_mv);
        ASSERT_TRUE(hot) << describe(hot.error());
        EXPECT_NEAR(hot->temperature_c, temperature_c, 1e-6);
        EXPECT_FALSE(hot->other_c);
    }
}

TEST_P(EveryType, slopeIsTheDerivative) {
    const Range range = rangeOf(GetParam());
    for (int i = 1; i < 40; ++i) {
        const double temperature_c = range.low_c + (range.high_c - range.low_c) * i / 40.3;
        const double rise_mv = *electromotiveForceMv(GetParam(), temperature_c + 0.01) -
                               *electromotiveForceMv(GetParam(), temperature_c - 0.01);
        EXPECT_NEAR(*seebeckMvPerK(GetParam(), temperature_c), rise_mv / 0.02, 1e-8);
    }
}

TEST_P(EveryType, saysItsRangeWhenAskedBeyondIt) {
    const Range range = rangeOf(GetParam());
    const auto hot = electromotiveForceMv(GetParam(), range.high_c + 0.1);
    const auto cold = electromotiveForceMv(GetParam(), range.low_c - 0.1);
    const auto strong = hotJunctionAt(GetParam(), range.high_mv + 0.001);
    const auto weak = hotJunctionAt(GetParam(), range.low_mv - 0.001);
    ASSERT_FALSE(hot || cold || strong || weak);
    for (const Fault& fault : {hot.error(), cold.error(), strong.error(), weak.error()}) {
        EXPECT_EQ(fault.kind, FaultKind::range);
        EXPECT_THAT(fault.what, HasSubstr("type " + std::string(nameOf(GetParam()))));
        EXPECT_THAT(fault.remedy, HasSubstr("°C"));
    }
}

TEST_P(EveryType, refusesWhatIsNoNumber) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(electromotiveForceMv(GetParam(), nan));
    EXPECT_FALSE(hotJunctionAt(GetParam(), nan));
    EXPECT_FALSE(temperatureC(GetParam(), 1.0, nan));
    EXPECT_FALSE(inversePolynomial(GetParam(), nan));
}

TEST_P(EveryType, isFoundByItsLetterInEitherCase) {
    const std::string upper(nameOf(GetParam()));
    const std::string lower(1, static_cast<char>(upper[0] - 'A' + 'a'));
    EXPECT_EQ(typeOf(upper), GetParam());
    EXPECT_EQ(typeOf(lower), GetParam());
}

INSTANTIATE_TEST_SUITE_P(Thermocouple, EveryType, testing::ValuesIn(all_types),
                         [](const auto& type) { return std::string(nameOf(type.param)); });

TEST(Thermocouple, hasNoOtherTypes) {
    EXPECT_FALSE(typeOf("X"));
    EXPECT_FALSE(typeOf(""));
    EXPECT_FALSE(typeOf("KK"));
}

TEST(ThermocoupleTypeB, hasTwoAnswersBelowItsZeroCrossing) {
    const double emf_mv = *electromotiveForceMv(Type::B, 10.0);
    const auto hot = hotJunctionAt(Type::B, emf_mv);
    ASSERT_TRUE(hot && hot->other_c);
    EXPECT_TRUE(hot->ambiguous);
    EXPECT_NEAR(*hot->other_c, 10.0, 1e-6);
    EXPECT_NEAR(*electromotiveForceMv(Type::B, hot->temperature_c), emf_mv, 1e-12);
    EXPECT_GT(hot->temperature_c, 21.0);
}

TEST(ThermocoupleTypeB, saysThatItCannotTellWarmFromColdBelowFiftyDegrees) {
    EXPECT_TRUE(hotJunctionAt(Type::B, 0.0022)->ambiguous);
    EXPECT_FALSE(hotJunctionAt(Type::B, 0.0024)->ambiguous);
    EXPECT_FALSE(hotJunctionAt(Type::K, 0.0)->ambiguous);
}

TEST(ThermocoupleTypeB, findsBothAnswersAtTheVeryBottom) {
    const auto hot = hotJunctionAt(Type::B, rangeOf(Type::B).low_mv);
    ASSERT_TRUE(hot && hot->other_c);
    EXPECT_NEAR(hot->temperature_c, *hot->other_c, 0.01);
}

TEST(ColdJunction, outsideTheRangeIsNamedAsSuch) {
    const auto hot = temperatureC(Type::R, 1.0, -80.0);
    ASSERT_FALSE(hot);
    EXPECT_THAT(hot.error().what, HasSubstr("cold junction"));
}

TEST(ColdJunction, atTheHotJunctionsTemperatureGivesNoVoltage) {
    EXPECT_NEAR(temperatureC(Type::T, 0.0, 23.0)->temperature_c, 23.0, 1e-6);
}

} // namespace
} // namespace potwatch::thermocouple
