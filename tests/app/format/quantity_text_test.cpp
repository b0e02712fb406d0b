// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/quantity_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace potwatch::format {
namespace {

double read(std::string_view text, std::string_view unit) {
    const Result<double> value = quantityOf(text, unit);
    EXPECT_TRUE(value) << text << ": " << describe(value.error());
    return value.value_or(-1e9);
}

std::string refusal(std::string_view text, std::string_view unit) {
    const Result<double> value = quantityOf(text, unit);
    EXPECT_FALSE(value) << text;
    return value ? std::string() : describe(value.error());
}

TEST(QuantityText, takesPointAndCommaForTheSame) {
    EXPECT_DOUBLE_EQ(read("80.5", "g"), 80.5);
    EXPECT_DOUBLE_EQ(read("80,5", "g"), 80.5);
    EXPECT_DOUBLE_EQ(read(" 14 401 ", "g"), 14401.0);
    EXPECT_DOUBLE_EQ(read("\u22125", "g"), -5.0);
    EXPECT_DOUBLE_EQ(read("+5", "g"), 5.0);
    EXPECT_DOUBLE_EQ(read("1e3", "g"), 1000.0);
    EXPECT_DOUBLE_EQ(read("1,5E-2", "g"), 0.015);
}

TEST(QuantityText, takesUnitsOfTheFieldsKind) {
    EXPECT_DOUBLE_EQ(read("0,08 kg", "g"), 80.0);
    EXPECT_DOUBLE_EQ(read("80g", "g"), 80.0);
    EXPECT_DOUBLE_EQ(read("2 min", "s"), 120.0);
    EXPECT_NEAR(read("68 °F", "°C"), 20.0, 1e-12);
    EXPECT_DOUBLE_EQ(read("992 hPa", "kPa"), 99.2);
    EXPECT_DOUBLE_EQ(read("1850 J/(kg K)", "J/(g K)"), 1.85);
    EXPECT_DOUBLE_EQ(read("3 %", ""), 0.03);
    EXPECT_DOUBLE_EQ(read("1.2e3 kg/m3", "g/mL"), 1.2);
}

TEST(QuantityText, refusesWhatIsNoNumberAndSaysWhatToDo) {
    EXPECT_THAT(refusal("abc", "g"), testing::HasSubstr("is not a number"));
    EXPECT_THAT(refusal("", "g"), testing::HasSubstr("is not a number"));
    EXPECT_THAT(refusal("-", "g"), testing::HasSubstr("is not a number"));
    EXPECT_THAT(refusal("1.234,5", "g"), testing::HasSubstr("more than one decimal sign"));
    EXPECT_THAT(refusal("5 V", "g"), testing::HasSubstr("use g, kg, mg"));
    EXPECT_THAT(refusal("1e999", "g"), testing::HasSubstr("is not a number"));
    EXPECT_THAT(refusal("5 g", ""), testing::HasSubstr("does not fit"));
}

TEST(QuantityText, writesWhatReadsBackEqual) {
    for (const double value : {80.0, 0.1, 1.0 / 3.0, 1e-7, -273.15, 246.5}) {
        EXPECT_EQ(read(fieldText(value), "g"), value);
    }
    EXPECT_EQ(fieldText(80.0), "80");
}

} // namespace
} // namespace potwatch::format
