// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <cmath>

// Tables as weather stations and loggers with two lines of names write them. Invented.

namespace potwatch::csv::testing {
namespace {

using ::testing::Contains;
using ::testing::Each;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;

// Two days, hour by hour: the pressure goes up and down, and its name speaks of an hour.
std::string station(const std::string& hour_name, const std::string& hour_format) {
    std::string text = "REGION:;CO\nSTATION:;NOWHERE\nLATITUDE:;-15,78\n"
                       "Data;" +
                       hour_name +
                       ";PRESSAO MAX.NA HORA ANT. (AUT) (mB);TEMPERATURA DO AR (°C);"
                       "VENTO, DIREÇÃO HORARIA (gr) (° (gr));VENTO, VELOCIDADE (m/s);\n";
    for (int row = 0; row < 48; ++row) {
        text += fmt::format("2019/01/{:02d};{};{},{};{},5;{};1,5;\n", 1 + row / 24,
                            fmt::format(fmt::runtime(hour_format), row % 24), 887 + row % 2, row % 7, 19 + row % 5,
                            (row * 37) % 360);
    }
    return text;
}

void expectHourly(const Table& table) {
    ASSERT_THAT(table.time_s, SizeIs(48));
    for (std::size_t row = 0; row < table.time_s.size(); ++row) {
        EXPECT_EQ(table.time_s[row], 3600.0 * static_cast<double>(row));
    }
    EXPECT_EQ(table.rows_refused, 0U);
    EXPECT_THAT(unitsOf(table), ElementsAre("mbar", "degC", "deg", "m/s"));
}

TEST(CsvStation, dateAndHourBelongTogether) {
    const Table table = tableOf(station("Hora UTC", "{:02d}00 UTC"));
    expectHourly(table);
    ASSERT_TRUE(table.started);
    EXPECT_EQ(table.started->offset_s, 0);
    expectHourly(tableOf(station("Hora UTC", "{:02d}00")));
    expectHourly(tableOf(station("Hora UTC", "{:02d}:00")));
    expectHourly(tableOf(station("Hora", "{}")));
}

TEST(CsvStation, aColumnThatStepsBackInHalfItsRowsIsNoClock) {
    std::string text = "place,Pressure in the last hours,T1\n";
    for (int row = 0; row < 20; ++row) {
        text += fmt::format("north,{}.{},{}\n", 887 + row % 2, row % 7, 20 + row);
    }
    EXPECT_THAT(refusalOf(text), HasSubstr("no time column"));
}

TEST(CsvStation, rowsInTheReverseOrderStillHaveTheirClock) {
    const Table table = tableOf("T1,time_s\n20,50\n21,40\n22,30\n23,20\n24,10\n25,0\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvStation, aFirstColumnWithoutANameThatOnlyRisesIsTheClock) {
    const Table table = tableOf("0,20.5\n0,20.6\n1.5,20.4\n40,20.9\n41,20.2\n900,20.8\n901,20.1\n902.5,20.7\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 0, 1.5, 40, 41, 900, 901, 902.5));
    EXPECT_THAT(table.notes, Contains(HasSubstr("taken as seconds")));
}

TEST(CsvStation, unitsStandInTheFirstOfTwoHeaderRows) {
    const std::string rows = "0,68,1\n1,69,1\n2,70,1\n3,71,1\n4,72,1\n";
    EXPECT_THAT(unitsOf(tableOf("min,°F,mV\ntime,pot,U\n" + rows)), ElementsAre("degF", "mV"));
    EXPECT_THAT(tableOf("min,°F,mV\ntime,pot,U\n" + rows).time_s, ElementsAre(0, 60, 120, 180, 240));
    EXPECT_THAT(unitsOf(tableOf("Time (min),Inside (°F),Supply [mV]\ntime,pot,U\n" + rows)), ElementsAre("degF", "mV"));
    // What a logger says of itself is no row of units.
    EXPECT_THAT(unitsOf(tableOf("Excitation,5 V,on\ntime_s,a,b\n" + rows)), ElementsAre("", ""));
}

TEST(CsvStation, directionsAndAnglesAreNoTemperatures) {
    for (const char* name : {"wind direction (°)", "Windrichtung [°]", "DIREÇÃO (gr)", "latitude (deg)", "angle °"}) {
        EXPECT_THAT(unitsOf(tableOf(fmt::format("time_s,{},T1 (°C)\n0,1,2\n1,300,2\n2,20,2\n3,4,2\n4,5,2\n", name))),
                    ElementsAre("deg", "degC"))
            << name;
    }
    EXPECT_THAT(unitsOf(tableOf("time_s,Temp angle probe (°)\n0,20\n1,21\n2,22\n3,23\n4,24\n")), ElementsAre("degC"));
}

} // namespace
} // namespace potwatch::csv::testing
