// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>

namespace potwatch::csv::testing {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

const std::string five_rows = "0,20.5\n1,21.5\n2,22.5\n3,23.5\n4,24.5\n";

TEST(CsvHeader, passesOverWhatALoggerWritesAboveTheTable) {
    const Table table =
        tableOf("Logger type: four inputs\nSerial number,12345\nStarted,2021-08-26 10:00:00\nNotes,\"slow, cold\"\n\n"
                "Time (s),Pot (°C)\n" +
                five_rows);
    EXPECT_THAT(namesOf(table), ElementsAre("Pot (°C)"));
    EXPECT_EQ(table.header_lines, 6);
    EXPECT_EQ(valuesOf(table).size(), 5U);
    EXPECT_THAT(table.refused, IsEmpty());
}

TEST(CsvHeader, passesOverAPreambleOfTheTablesOwnWidth) {
    const Table table = tableOf("Serial number;4711\nInterval;10\nChannels;2\nZeit (s);Topf "
                                "(°C)\n0;20,5\n10;21,5\n20;22,5\n30;23,5\n40;24,5\n");
    EXPECT_THAT(namesOf(table), ElementsAre("Topf (°C)"));
    EXPECT_EQ(table.time_s.back(), 40.0);
    EXPECT_EQ(table.header_lines, 4);
}

TEST(CsvHeader, takesUnitsFromARowOfTheirOwn) {
    const Table table =
        tableOf("time;pot;heater;flow\nmin;°F;W;g/min\n0;70;1;2\n1;71;1;2\n2;72;1;2\n3;73;1;2\n4;74;1;2\n");
    EXPECT_THAT(namesOf(table), ElementsAre("pot", "heater", "flow"));
    EXPECT_THAT(unitsOf(table), ElementsAre("degF", "W", "g/min"));
    EXPECT_EQ(table.time_s.back(), 240.0);
    EXPECT_EQ(table.header_lines, 2);
}

TEST(CsvHeader, takesBracketedUnitsFromARowOfTheirOwn) {
    const Table table = tableOf("Time,Core,Skin\n[s],[°C],[°C]\n0,20,21\n1,21,21\n2,22,21\n3,23,21\n4,24,21\n");
    EXPECT_THAT(namesOf(table), ElementsAre("Core", "Skin"));
    EXPECT_THAT(unitsOf(table), ElementsAre("degC", "degC"));
}

struct UnitCase {
    std::string name;
    std::string unit;
};

TEST(CsvHeader, takesUnitsFromTheNames) {
    const std::vector<UnitCase> cases{{"Temp (°C)", "degC"},
                                      {"T [degF]", "degF"},
                                      {"pot_c", "degC"},
                                      {"temp_f", "degF"},
                                      {"mv", "mV"},
                                      {"U/mV", "mV"},
                                      {"T/K", "K"},
                                      {"Core (Deg. C)", "degC"},
                                      {"Probe 1 °F", "degF"},
                                      {"TC1 [ºC]", "degC"},
                                      {"RH (%)", "%"},
                                      {"Luftfeuchte RH%", "%"},
                                      {"CO2 (ppm)", "ppm"},
                                      {"I [A]", "A"},
                                      {"heater_w", "W"},
                                      {"U (V)", "V"},
                                      {"core_k", "K"},
                                      {"Temp. (℃)", "degC"},
                                      {"Temp Celsius", "degC"},
                                      {"pressure (kPa)", "kPa"},
                                      {"Channel A", ""},
                                      {"status", ""},
                                      {"pot degC", "degC"},
                                      {"Last (C)", "degC"}};
    for (const UnitCase& given : cases) {
        const Table table = tableOf("time_s," + given.name + "\n" + five_rows);
        EXPECT_THAT(unitsOf(table), ElementsAre(given.unit)) << given.name;
        EXPECT_THAT(namesOf(table), ElementsAre(given.name));
    }
}

TEST(CsvHeader, takesATemperatureWithoutUnitAsCelsiusAndSaysSo) {
    const Table table = tableOf("time_s,T1\n" + five_rows);
    EXPECT_THAT(unitsOf(table), ElementsAre("degC"));
    EXPECT_THAT(table.notes, Contains(HasSubstr("--unit")));
}

TEST(CsvHeader, letsThePersonsUnitOverruleThatOfTemperaturesAlone) {
    const std::string text = "time_s,T1 (°C),U (V)\n0,1,1\n1,2,1\n2,3,1\n3,4,1\n4,5,1\n";
    EXPECT_THAT(unitsOf(tableOf(text, {.unit = "degF"})), ElementsAre("degF", "V"));
    EXPECT_THAT(unitsOf(tableOf("0,20.5\n1.5,21\n3,22\n4.5,23\n6,24\n", {.unit = "K"})), ElementsAre("K"));
    EXPECT_THAT(refusalOf(text, {.unit = "inch"}), HasSubstr("use degC, degF, K or mV"));
}

TEST(CsvHeader, keepsMessagesOnOneLineWhereANameIsNot) {
    const Table table = tableOf("time_s,\"T1\ncore\"\n0,20\n1,21\n2,22\n3,23\n4,24\n5,OL\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1\ncore"));
    for (const std::string& note : table.notes) {
        EXPECT_EQ(note.find('\n'), std::string::npos) << note;
    }
    EXPECT_THAT(refusalOf("\"a\nb\",c\n5,1\n3,2\n4,9\n1,7\n2,8\n"), Not(HasSubstr("\n")));
}

TEST(CsvHeader, isNotNeeded) {
    const Table table = tableOf("0,20.5,1\n1.01,21.5,1\n2.02,22.5,1\n3.01,23.5,1\n4.03,24.5,1\n");
    EXPECT_THAT(namesOf(table), ElementsAre("", ""));
    EXPECT_EQ(table.header_lines, 0);
    EXPECT_EQ(table.time_s[1], 1.01);
}

TEST(CsvHeader, keepsNamesThatOccurTwiceAndTheBlanksWithinQuotes) {
    const Table table = tableOf("time_s;\"T: \";\"T: \"; T3 \n0;1;2;3\n1;1;2;3\n2;1;2;3\n3;1;2;3\n4;1;2;3\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T: ", "T: ", "T3"));
}

TEST(CsvHeader, leavesOutRowNumbersWhereverTheyStand) {
    const Table table = tableOf("No.,time_s,T1,\n1,0,20,11\n2,2,21,12\n3,4,22,13\n4,6,23,14\n5,8,24,15\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvHeader, findsNamesBesideUnnamedRowNumbers) {
    const Table table = tableOf("time_s,pot_c\n1,0,20\n2,5,21\n3,10,22\n4,15,23\n5,20,24\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 5, 10, 15, 20));
    EXPECT_THAT(namesOf(table), ElementsAre("pot_c"));
}

TEST(CsvHeader, readsNamesThatAreNumbers) {
    const Table table = tableOf("time_s,101,102\n0,20,21\n1,21,21\n2,22,21\n3,23,21\n4,24,21\n");
    EXPECT_THAT(namesOf(table), ElementsAre("101", "102"));
}

TEST(CsvHeader, givesTheColumnsAskedForInThatOrder) {
    const std::string text = "time_s,a,b,c\n0,1,2,3\n1,1,2,3\n2,1,2,3\n3,1,2,3\n4,1,2,3\n";
    EXPECT_THAT(namesOf(tableOf(text, {.columns = {"c", "2"}})), ElementsAre("c", "a"));
    EXPECT_THAT(refusalOf(text, {.columns = {"d"}}), HasSubstr("no column \"d\""));
}

TEST(CsvHeader, readsAFirstRowWithoutAValueAsData) {
    const Table table = tableOf("time_s,T1,T2\n0,,20\n1,21,20\n2,22,20\n3,23,20\n4,24,20\n");
    EXPECT_EQ(table.header_lines, 1);
    EXPECT_EQ(table.time_s.size(), 5U);
    const Table with_text = tableOf("0,OL,20\n1.5,21,20\n3,22,20\n4.5,23,20\n6,24,20\n");
    EXPECT_EQ(with_text.header_lines, 0);
    EXPECT_EQ(with_text.time_s.size(), 5U);
}

} // namespace
} // namespace potwatch::csv::testing
