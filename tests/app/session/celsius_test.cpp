// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/celsius.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace potwatch::session {
namespace {

using ::testing::HasSubstr;

Run runOf(std::vector<Channel> channels) {
    Run run{.name = "r", .file = "r.csv", .time_s = std::vector<double>(channels.front().values.size())};
    run.channels = std::move(channels);
    return run;
}

Fault faultOf(Run run, const std::string& pot = {}, const Millivolts& millivolts = {}) {
    const auto converted = convertToCelsius(run, pot, millivolts);
    EXPECT_FALSE(converted);
    return converted ? Fault{} : converted.error();
}

TEST(Celsius, fahrenheitAndKelvinConvertByDefinition) {
    auto run = runOf({{"f", "degF", {32.0, 212.0}}, {"k", "K", {273.15, 373.15}}, {"c", "degC", {0.0, 100.0}}});
    ASSERT_TRUE(convertToCelsius(run, "", {}));
    for (const Channel& channel : run.channels) {
        EXPECT_EQ(channel.unit, "degC");
        EXPECT_DOUBLE_EQ(channel.values[0], 0.0);
        EXPECT_DOUBLE_EQ(channel.values[1], 100.0);
    }
}

TEST(Celsius, leavesOtherQuantitiesAlone) {
    auto run = runOf({{"c", "degC", {20.0}}, {"heater", "W", {5.0}}, {"cell", "mV", {1.0}}});
    ASSERT_TRUE(convertToCelsius(run, "", {}));
    EXPECT_EQ(run.channels[1].unit, "W");
    EXPECT_EQ(run.channels[2].values[0], 1.0);
}

// Source: NIST Monograph 175, type K: 4.096 mV at 100 °C, 1.000 mV at 25 °C, 0.798 mV at 20 °C.
TEST(Celsius, millivoltsTakeTheColdJunctionFromANumberOrAChannel) {
    auto fixed = runOf({{"p", "mV", {3.096, std::nan("")}}});
    ASSERT_TRUE(convertToCelsius(fixed, "", {.type = "K", .cold_junction = "25"}));
    EXPECT_NEAR(fixed.channels[0].values[0], 100.0, 0.05);
    EXPECT_TRUE(std::isnan(fixed.channels[0].values[1]));
    auto read = runOf({{"p", "mV", {3.096, 3.298}}, {"cj", "degC", {25.0, 20.0}}});
    ASSERT_TRUE(convertToCelsius(read, "", {.type = "K", .cold_junction = "cj"}));
    EXPECT_NEAR(read.channels[0].values[1], 100.0, 0.05);
}

TEST(Celsius, voltagesBeyondTheTypeAreLeftOutWithAWarning) {
    auto run = runOf({{"p", "mV", {3.096, 400.0}}});
    const auto warnings = convertToCelsius(run, "", {.type = "K", .cold_junction = "25"});
    ASSERT_TRUE(warnings);
    EXPECT_TRUE(std::isnan(run.channels[0].values[1]));
    ASSERT_EQ(warnings->size(), 1U);
    EXPECT_THAT(warnings->front(), HasSubstr("1 of the 2 readings of channel p"));
}

TEST(Celsius, faultsNameTheOptionThatMendsThem) {
    const auto volts = runOf({{"p", "mV", {1.0}}});
    EXPECT_THAT(faultOf(volts).remedy, HasSubstr("--thermocouple"));
    EXPECT_THAT(faultOf(volts, "", {.type = "K"}).remedy, HasSubstr("--cold-junction"));
    EXPECT_THAT(faultOf(volts, "", {.type = "K", .cold_junction = "air"}).remedy, HasSubstr("--cold-junction"));
    EXPECT_THAT(faultOf(volts, "", {.type = "Q", .cold_junction = "20"}).what, HasSubstr("\"Q\""));
    EXPECT_THAT(faultOf(volts, "core").remedy, HasSubstr("--channel"));
    EXPECT_THAT(faultOf(runOf({{"p", "", {1.0}}})).remedy, HasSubstr("--unit"));
    EXPECT_THAT(faultOf(runOf({{"p", "W", {1.0}}}), "p").remedy, HasSubstr("--channel"));
}

} // namespace
} // namespace potwatch::session
