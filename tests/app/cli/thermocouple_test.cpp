// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/program.h"

#include <gmock/gmock.h>

namespace potwatch::test {
namespace {

using ThermocoupleCommand = CommandLine;
using nlohmann::json;

// Source: NIST Monograph 175, type K: 4.096 mV at 100 °C; tables are rounded to 0.001 mV, that is 0.03 °C.
TEST_F(ThermocoupleCommand, answersEitherWay) {
    const json forward = potwatch({"thermocouple", "K", "--celsius", "100", "--json"}).json();
    EXPECT_NEAR(forward["mv"].get<double>(), 4.096, 0.0005);
    const json back = potwatch({"thermocouple", "k", "--mv", "4.096", "--json"}).json();
    EXPECT_NEAR(back["celsius"].get<double>(), 100.0, 0.03);
}

// Source: NIST Monograph 175, type K: 1.000 mV at 25 °C.
TEST_F(ThermocoupleCommand, addsTheColdJunctionInMillivolts) {
    const json back = potwatch({"thermocouple", "K", "--mv", "3.096", "--cold-junction", "25", "--json"}).json();
    EXPECT_NEAR(back["celsius"].get<double>(), 100.0, 0.03);
}

TEST_F(ThermocoupleCommand, takesNegativeNumbers) {
    const json back = potwatch({"thermocouple", "K", "--mv", "-0.5", "--json"}).json();
    EXPECT_LT(back["celsius"].get<double>(), 0.0);
}

TEST_F(ThermocoupleCommand, saysThatTypeBHasTwoAnswers) {
    const json low = potwatch({"thermocouple", "B", "--mv", "-0.001", "--json"}).json();
    EXPECT_TRUE(low["celsius"].is_null());
    EXPECT_EQ(low["celsius_all"].size(), 2U);
    EXPECT_EQ(low["warnings"].size(), 1U);
    const json high = potwatch({"thermocouple", "B", "--mv", "0.0024", "--json"}).json();
    EXPECT_TRUE(high["celsius"].is_number());
}

TEST_F(ThermocoupleCommand, voltageBeyondTheTypeIsAFault) {
    expectOneFault(potwatch({"thermocouple", "K", "--mv", "100"}), 1, "1372 °C");
}

TEST_F(ThermocoupleCommand, needsOneQuestion) {
    expectOneFault(potwatch({"thermocouple", "K"}), 2, "--mv");
    expectOneFault(potwatch({"thermocouple", "K", "--mv", "1", "--celsius", "2"}), 2, "--mv");
    expectOneFault(potwatch({"thermocouple", "Q", "--mv", "1"}), 2, "B E J K N R S T");
}

} // namespace
} // namespace potwatch::test
