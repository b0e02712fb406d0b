// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/number.h"

#include <gtest/gtest.h>

#include <clocale>
#include <limits>

namespace potwatch::format {
namespace {

Estimate between(double value, double low, double high) {
    return {.value = value, .u = (high - low) / (2.0 * coverage_factor_95), .low = low, .high = high};
}

Estimate plusMinus(double value, double half_width) {
    return between(value, value - half_width, value + half_width);
}

TEST(EstimateText, hasNoMoreDigitsThanItsIntervalAllows) {
    EXPECT_EQ(estimateText(plusMinus(101.768, 0.31), Quantity::temperature), "101.8 ± 0.3 °C");
    EXPECT_EQ(estimateText(plusMinus(101.768, 4.2), Quantity::temperature), "102 ± 4 °C");
    EXPECT_EQ(estimateText(plusMinus(0.80312, 0.0301), Quantity::loss_coefficient), "0.80 ± 0.03 W/K");
    EXPECT_EQ(estimateText(plusMinus(1234.0, 56.0), Quantity::time), "1230 ± 60 s");
}

TEST(EstimateText, keepsTwoDigitsOfAHalfWidthThatStartsWithOne) {
    EXPECT_EQ(estimateText(plusMinus(63.024, 0.143), Quantity::temperature), "63.02 ± 0.14 °C");
    EXPECT_EQ(estimateText(plusMinus(270.4, 14.2), Quantity::heat_per_gram), "270 ± 14 J/g");
}

TEST(EstimateText, roundsTheValueToThePlaceOfAHalfWidthThatRoundsUpToTen) {
    EXPECT_EQ(estimateText(plusMinus(50.04, 0.97), Quantity::temperature), "50.0 ± 1.0 °C");
    EXPECT_EQ(estimateText(plusMinus(533.2, 9.7), Quantity::time), "533 ± 10 s");
}

TEST(EstimateText, turnsToKilojoulesFromAThousandJoules) {
    EXPECT_EQ(estimateText(plusMinus(21589.6, 380.0), Quantity::heat), "21.6 ± 0.4 kJ");
    EXPECT_EQ(estimateText(plusMinus(812.0, 30.0), Quantity::heat), "810 ± 30 J");
}

TEST(EstimateText, givesBothEndsWhereTheIntervalLeansToOneSide) {
    EXPECT_EQ(estimateText(between(0.98, 0.93, 1.0), Quantity::degree), "0.98 (0.93 to 1.00)");
    EXPECT_EQ(estimateText(between(0.96, 0.92, 1.0), Quantity::degree), "0.96 ± 0.04");
}

TEST(EstimateText, isTheBareValueWithoutAnInterval) {
    EXPECT_EQ(estimateText({.value = 100.5, .u = 0.0, .low = 100.5, .high = 100.5}, Quantity::temperature), "100.5 °C");
}

TEST(EstimateText, isNeverANumberWhereTheValueIsNone) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_EQ(estimateText(normalEstimate(nan, 1.0), Quantity::heat), "not known");
    EXPECT_EQ(valueText(nan, Quantity::heat), "not known");
    EXPECT_EQ(durationText(nan), "not known");
}

TEST(EstimateText, writesAPointUnderACommaLocale) {
    const std::string before = std::setlocale(LC_ALL, nullptr);
    if (std::setlocale(LC_ALL, "de_DE.UTF-8") == nullptr) {
        GTEST_SKIP() << "the locale de_DE.UTF-8 is not installed";
    }
    const std::string text = estimateText(plusMinus(101.768, 0.31), Quantity::temperature);
    std::setlocale(LC_ALL, before.c_str());
    EXPECT_EQ(text, "101.8 ± 0.3 °C");
}

TEST(IntervalText, roundsAsTheEstimateDoes) {
    EXPECT_EQ(intervalText(plusMinus(101.768, 0.31), Quantity::temperature), "101.5 to 102.1 °C");
    EXPECT_EQ(intervalText(plusMinus(21589.6, 380.0), Quantity::heat), "21.2 to 22.0 kJ");
    EXPECT_EQ(intervalText({.value = 1.0, .u = 0.0, .low = 1.0, .high = 1.0}, Quantity::degree), "");
}

TEST(UncertaintyText, hasTwoDigitsAndIsInKelvinForATemperature) {
    EXPECT_EQ(uncertaintyText(normalEstimate(101.8, 0.1532), Quantity::temperature), "0.15 K");
    EXPECT_EQ(uncertaintyText(normalEstimate(21589.6, 211.0), Quantity::heat), "0.21 kJ");
    EXPECT_EQ(uncertaintyText({.value = 1.0}, Quantity::heat), "");
    EXPECT_EQ(uncertaintyText(normalEstimate(200.0, 187.0), Quantity::time), "190 s");
}

TEST(ValueText, hasTheUsualDigitsOfItsKind) {
    EXPECT_EQ(valueText(100.5, Quantity::temperature), "100.5 °C");
    EXPECT_EQ(valueText(533.0, Quantity::time), "533 s");
    EXPECT_EQ(valueText(0.5, Quantity::time), "0.5 s");
    EXPECT_EQ(valueText(-3.25, Quantity::rate), "\u22123.25 K/min");
}

TEST(NumberText, dropsTrailingZerosAndTheSignOfZero) {
    EXPECT_EQ(numberText(0.030), "0.03");
    EXPECT_EQ(numberText(-0.0), "0");
    EXPECT_EQ(numberText(-12.5), "\u221212.5");
}

TEST(RiseText, alwaysShowsItsSign) {
    EXPECT_EQ(riseText(61.2), "+61 K");
    EXPECT_EQ(riseText(3.14), "+3.1 K");
    EXPECT_EQ(riseText(-12.44), "\u221212.4 K");
    EXPECT_EQ(riseText(0.0), "0.0 K");
}

TEST(DurationText, readsAsAClockWould) {
    EXPECT_EQ(durationText(4.23), "4.2 s");
    EXPECT_EQ(durationText(42.4), "42 s");
    EXPECT_EQ(durationText(250.0), "4 min 10 s");
    EXPECT_EQ(durationText(240.0), "4 min");
    EXPECT_EQ(durationText(7200.0), "2 h");
    EXPECT_EQ(durationText(7500.0), "2 h 5 min");
}

TEST(DurationText, carriesARoundedUnitIntoTheNext) {
    EXPECT_EQ(durationText(9.96), "10 s");
    EXPECT_EQ(durationText(59.7), "1 min");
    EXPECT_EQ(durationText(3599.8), "1 h");
    EXPECT_EQ(durationText(7199.0), "2 h");
}

TEST(CountText, partsThousandsFromFiveDigitsOn) {
    EXPECT_EQ(countText(7201), "7201");
    EXPECT_EQ(countText(14401), "14\u00a0401");
    EXPECT_EQ(countText(10000000), "10\u00a0000\u00a0000");
    EXPECT_EQ(countText(1, "sample", "samples"), "1 sample");
}

} // namespace
} // namespace potwatch::format
