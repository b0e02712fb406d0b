// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>

// Wild cases: how loggers, spreadsheets and scripts write the same small table.

namespace potwatch::csv::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

// Every case holds the same run: 0 to 4 s, 20.5 to 24.5 °C.
void expectTheRun(const Table& table) {
    EXPECT_THAT(table.time_s, ElementsAre(0.0, 1.0, 2.0, 3.0, 4.0));
    EXPECT_THAT(valuesOf(table), ElementsAre(20.5, 21.5, 22.5, 23.5, 24.5));
}

TEST(CsvDialect, readsCommas) {
    const Table table = tableOf("time_s,pot_c\n0,20.5\n1,21.5\n2,22.5\n3,23.5\n4,24.5\n");
    expectTheRun(table);
    EXPECT_EQ(table.delimiter, "comma");
    EXPECT_EQ(table.decimal, "point");
    EXPECT_EQ(table.encoding, "UTF-8");
    EXPECT_EQ(table.header_lines, 1);
    EXPECT_EQ(table.clock, "seconds");
}

TEST(CsvDialect, readsSemicolonsWithDecimalCommas) {
    const Table table = tableOf("time_s;pot_c\n0,0;20,5\n1,0;21,5\n2,0;22,5\n3,0;23,5\n4,0;24,5\n");
    expectTheRun(table);
    EXPECT_EQ(table.delimiter, "semicolon");
    EXPECT_EQ(table.decimal, "comma");
}

TEST(CsvDialect, readsTabsWithDecimalCommas) {
    expectTheRun(tableOf("time_s\tpot_c\n0\t20,5\n1\t21,5\n2\t22,5\n3\t23,5\n4\t24,5\n"));
}

TEST(CsvDialect, readsQuotedDecimalCommasBetweenCommas) {
    const Table table =
        tableOf("\"time_s\",\"pot_c\"\n\"0,0\",\"20,5\"\n\"1,0\",\"21,5\"\n\"2,0\",\"22,5\"\n\"3,0\",\"23,5\"\n"
                "\"4,0\",\"24,5\"\n");
    expectTheRun(table);
    EXPECT_EQ(table.delimiter, "comma");
    EXPECT_EQ(table.decimal, "comma");
}

TEST(CsvDialect, readsIntegersBesideQuotedDecimalCommas) {
    expectTheRun(tableOf("time_s,pot_c\n0,\"20,5\"\n1,\"21,5\"\n2,\"22,5\"\n3,\"23,5\"\n4,\"24,5\"\n"));
}

TEST(CsvDialect, readsAPointForTheTimeBesideACommaForTheValues) {
    expectTheRun(tableOf("time_s;pot_c\n0.0;20,5\n1.0;21,5\n2.0;22,5\n3.0;23,5\n4.0;24,5\n"));
}

TEST(CsvDialect, readsPipes) {
    const Table table = tableOf("time_s|pot_c\n0|20.5\n1|21.5\n2|22.5\n3|23.5\n4|24.5\n");
    expectTheRun(table);
    EXPECT_EQ(table.delimiter, "pipe");
}

TEST(CsvDialect, readsRunsOfBlanks) {
    const Table table =
        tableOf("  time_s   pot_c\n     0    20.5\n     1    21.5\n     2    22.5\n     3    23.5\n     4    24.5\n");
    expectTheRun(table);
    EXPECT_EQ(table.delimiter, "space");
    EXPECT_THAT(namesOf(table), ElementsAre("pot_c"));
}

TEST(CsvDialect, readsBlanksWithDecimalCommas) {
    expectTheRun(tableOf("time_s pot_c\n0,0 20,5\n1,0 21,5\n2,0 22,5\n3,0 23,5\n4,0 24,5\n"));
}

TEST(CsvDialect, readsADateAndATimeBetweenBlanks) {
    const Table table =
        tableOf("Timestamp T1\n2021-08-26 10:00:00 20.5\n2021-08-26 10:00:01 21.5\n2021-08-26 10:00:02 22.5\n"
                "2021-08-26 10:00:03 23.5\n2021-08-26 10:00:04 24.5\n");
    expectTheRun(table);
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvDialect, readsNamesWithBlanksAboveAlignedColumns) {
    const Table table = tableOf("Elapsed time   Pot temp (°C)\n0   20.5\n1   21.5\n2   22.5\n3   23.5\n4   24.5\n");
    expectTheRun(table);
    EXPECT_THAT(namesOf(table), ElementsAre("Pot temp (°C)"));
}

TEST(CsvDialect, readsBlanksAroundCells) {
    expectTheRun(tableOf(" time_s , pot_c \n 0 , 20.5 \n 1 , 21.5 \n 2 , 22.5\n 3 ,23.5 \n4, 24.5\n"));
}

TEST(CsvDialect, followsALineThatStatesTheDelimiter) {
    const Table table = tableOf("sep=;\ntime_s;pot_c\n0;20,5\n1;21,5\n2;22,5\n3;23,5\n4;24,5\n");
    expectTheRun(table);
    EXPECT_EQ(table.header_lines, 2);
}

TEST(CsvDialect, readsADelimiterAtTheEndOfEveryLine) {
    const Table table = tableOf("time_s,pot_c,\n0,20.5,\n1,21.5,\n2,22.5,\n3,23.5,\n4,24.5,\n");
    expectTheRun(table);
    EXPECT_THAT(namesOf(table), ElementsAre("pot_c"));
    EXPECT_EQ(table.odd_cell_count, 0U);
}

TEST(CsvDialect, readsADelimiterAtTheEndOfTheRowsAlone) {
    const Table table = tableOf("time_s;pot_c\n0;20.5;\n1;21.5;\n2;22.5;\n3;23.5;\n4;24.5;\n");
    expectTheRun(table);
    EXPECT_EQ(table.channels.size(), 1U);
}

TEST(CsvDialect, readsWindowsOldMacintoshAndMissingLineEnds) {
    expectTheRun(tableOf("time_s,pot_c\r\n0,20.5\r\n1,21.5\r\n2,22.5\r\n3,23.5\r\n4,24.5\r\n"));
    expectTheRun(tableOf("time_s,pot_c\r0,20.5\r1,21.5\r2,22.5\r3,23.5\r4,24.5\r"));
    expectTheRun(tableOf("time_s,pot_c\n0,20.5\n1,21.5\n2,22.5\n3,23.5\n4,24.5"));
}

TEST(CsvDialect, readsExponentsAndSigns) {
    expectTheRun(tableOf("time_s,pot_c\n0,+2.05E+01\n1,21.5\n2,+22.5\n3e0,0.235e2\n4,2450e-2\n"));
}

TEST(CsvDialect, readsUnitsInTheCells) {
    const Table table = tableOf("time;pot\n0 s;20.5 °C\n1 s;21.5 °C\n2 s;22.5 °C\n3 s;23.5 °C\n4 s;24.5 °C\n");
    expectTheRun(table);
    EXPECT_THAT(unitsOf(table), ElementsAre("degC"));
    EXPECT_EQ(table.clock, "seconds");
}

TEST(CsvDialect, readsTheMinusSignOfSpreadsheets) {
    const Table table = tableOf("time_s,pot_c\n0,\xE2\x88\x92"
                                "1.5\n1,-1\n2,0\n3,1\n4,2\n");
    EXPECT_THAT(valuesOf(table), ElementsAre(-1.5, -1.0, 0.0, 1.0, 2.0));
}

TEST(CsvDialect, readsNoThousandsMarks) {
    const Table table = tableOf("time_s,mixer\n0,\"998\"\n1,\"999\"\n2,\"1,000\"\n3,999\n4,998\n5,997\n");
    EXPECT_THAT(valuesOf(table), ElementsAre(998.0, 999.0, 999.0, 998.0, 997.0));
    EXPECT_THAT(linesOf(table.refused), ElementsAre(4));
}

TEST(CsvDialect, findsADecimalMarkThatShowsFarDownTheFile) {
    std::string text = "time_s;pot_c\n";
    for (int i = 0; i < 20000; ++i) {
        text += std::to_string(i) + ";20\n";
    }
    text += "20000;20,5\n20001;21,5\n";
    const Table table = tableOf(text);
    EXPECT_EQ(valuesOf(table).back(), 21.5);
    EXPECT_EQ(table.decimal, "comma");
    EXPECT_EQ(table.odd_cell_count, 0U);
}

TEST(CsvDialect, readsCommentsAboveAndInTheTable) {
    const Table table =
        tableOf("# rod 03\n// second\n% third\ntime_s,pot_c\n0,20.5\n1,21.5\n# stirrer off\n2,22.5\n3,23.5\n4,24.5\n");
    expectTheRun(table);
    EXPECT_EQ(table.header_lines, 4);
    EXPECT_EQ(table.rows_refused, 0U);
}

TEST(CsvDialect, readsNamesInAComment) {
    const Table table = tableOf("# interval: 1 s, probe: 2\n# time_s,pot_c\n0,20.5\n1,21.5\n2,22.5\n3,23.5\n4,24.5\n");
    expectTheRun(table);
    EXPECT_THAT(namesOf(table), ElementsAre("pot_c"));
}

TEST(CsvDialect, readsSemicolonCommentsBetweenCommas) {
    expectTheRun(tableOf("; logger 7\ntime_s,pot_c\n0,20.5\n1,21.5\n;pause\n2,22.5\n3,23.5\n4,24.5\n"));
}

TEST(CsvDialect, takesANumberSignBeforeADelimiterAsAName) {
    const Table table = tableOf("#,Time (s),T1\n1,0,20.5\n2,1,21.5\n3,2,22.5\n4,3,23.5\n5,4,24.5\n");
    expectTheRun(table);
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvDialect, readsDelimitersAndLineEndsWithinQuotes) {
    const Table table =
        tableOf("time_s,\"T1, \"\"core\"\"\",note\n0,20.5,\"start, slow\"\n1,21.5,\"two\nlines\"\n2,22.5,\n3,23.5,\n"
                "4,24.5,\n5,,\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1, \"core\""));
    EXPECT_THAT(valuesOf(table), ElementsAre(20.5, 21.5, 22.5, 23.5, 24.5));
    EXPECT_THAT(linesOf(table.refused), ElementsAre(8)); // counted in lines, not in rows
}

TEST(CsvDialect, takesALoneQuoteAsACharacter) {
    const Table table = tableOf("time_s,pot_c,note\n0,20.5,3\" mould\n1,21.5,\n2,22.5,\"open\n3,23.5,\n4,24.5,\n");
    expectTheRun(table);
}

TEST(CsvEncoding, readsAByteOrderMark) {
    const Table table = tableOf("\xEF\xBB\xBFtime_s,pot_c\n0,20.5\n1,21.5\n2,22.5\n3,23.5\n4,24.5\n");
    expectTheRun(table);
    EXPECT_EQ(table.encoding, "UTF-8 with BOM");
}

TEST(CsvEncoding, readsUtf16WithAndWithoutMark) {
    const std::string text = "Time (s)\tPot (\xB0"
                             "C)\r\n0\t20.5\r\n1\t21.5\r\n2\t22.5\r\n3\t23.5\r\n4\t24.5\r\n";
    for (const bool big_endian : {false, true}) {
        for (const bool with_mark : {false, true}) {
            const Table table = tableOf(utf16(text, big_endian, with_mark));
            expectTheRun(table);
            EXPECT_EQ(table.encoding, big_endian ? "UTF-16BE" : "UTF-16LE");
            EXPECT_THAT(namesOf(table), ElementsAre("Pot (°C)"));
            EXPECT_THAT(unitsOf(table), ElementsAre("degC"));
        }
    }
}

TEST(CsvEncoding, readsALatin1DegreeSign) {
    const Table table = tableOf("Zeit (s);K\xF6rper (\xB0"
                                "C)\n0;20,5\n1;21,5\n2;22,5\n3;23,5\n4;24,5\n");
    expectTheRun(table);
    EXPECT_EQ(table.encoding, "Latin-1");
    EXPECT_THAT(namesOf(table), ElementsAre("Körper (°C)"));
    EXPECT_THAT(unitsOf(table), ElementsAre("degC"));
}

} // namespace
} // namespace potwatch::csv::testing
