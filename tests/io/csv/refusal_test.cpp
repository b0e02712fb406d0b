// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <gmock/gmock.h>

#include <cmath>

namespace potwatch::csv::testing {
namespace {

using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

const std::string header = "time_s,T1,T2\n";
const std::string four_rows = "1,21,20\n2,22,20\n3,23,20\n4,24,20\n";

TEST(CsvRows, refusesEveryUnreadableLineNamingItsNumberAndReason) {
    const Table table = tableOf(header + "0,20,20\nlater,20,20\n,20,20\n0.5,,\n0.6,OL,---\n0.7,20,20,20\n\n" +
                                four_rows + "Average,22.5,20\n");
    EXPECT_EQ(table.time_s.size(), 5U);
    EXPECT_EQ(table.rows_refused, 6U);
    EXPECT_THAT(table.refused,
                ElementsAre(Refusal{3, "no readable time: \"later\""}, Refusal{4, "no time"},
                            Refusal{5, "no number in it"}, Refusal{6, "no number in it"},
                            Refusal{7, "4 cells where the table has 3"}, Refusal{13, "no readable time: \"Average\""}));
}

TEST(CsvRows, knowsTheHeaderAgain) {
    const Table table = tableOf(header + "0,20,20\n" + header + four_rows);
    EXPECT_THAT(table.refused, ElementsAre(Refusal{3, "the header again"}));
}

TEST(CsvRows, reportsTextAndEmptyCellsByLine) {
    const Table table = tableOf(header + "0,20,20\n0.5,OL,20\n0.6,,20\n0.7,n/a,20\n" + four_rows);
    EXPECT_TRUE(std::isnan(valuesOf(table)[1]));
    EXPECT_EQ(table.summaries[0].kept, 5U);
    EXPECT_EQ(table.summaries[0].text_cells, 1U);
    EXPECT_EQ(table.summaries[0].first_text_line, 3);
    EXPECT_EQ(table.summaries[0].missing, 2U);
    EXPECT_EQ(table.summaries[0].first_missing_line, 4);
    EXPECT_EQ(table.odd_cell_count, 3U);
    EXPECT_THAT(table.odd_cells, ElementsAre(Refusal{3, "\"T1\" holds \"OL\", which is no number"},
                                             Refusal{4, "\"T1\" has no value (and so in 2 rows up to line 5)"}));
}

TEST(CsvRows, keepsAShortRowAndReportsWhatItLacks) {
    const Table table = tableOf(header + "0,20\n" + four_rows);
    EXPECT_EQ(table.time_s.size(), 5U);
    EXPECT_THAT(table.odd_cells, ElementsAre(Refusal{2, "\"T2\" has no value"}));
}

TEST(CsvRows, takesNoWordForANumber) {
    const Table table = tableOf(
        header + "0,nan,20\n0.1,inf,20\n0.2,-Infinity,20\n0.3,1e999,20\n0.4,0x10,20\n0.5,NaN,20\n0.6,Error,20\n" +
        four_rows);
    EXPECT_EQ(table.summaries[0].kept, 4U);
    EXPECT_EQ(table.summaries[0].max, 24.0);
}

TEST(CsvRows, keepsAHugeValueAsItIsWritten) {
    const Table table = tableOf(header + "0,1e308,20\n" + four_rows);
    EXPECT_EQ(table.summaries[0].max, 1e308);
}

TEST(CsvRows, leavesOutAColumnOfWordsAndSaysSo) {
    const Table table = tableOf("time_s,T1,status\n0,20,ok\n1,21,ok\n2,22,alarm\n3,23,ok\n4,24,\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
    EXPECT_THAT(table.notes, Contains("\"status\" holds no numbers: left out"));
    EXPECT_EQ(table.odd_cell_count, 0U);
}

TEST(CsvRows, keepsANamedColumnThatIsEmptyThroughout) {
    const Table table = tableOf(header + "0,,20\n1,,20\n2,,20\n3,,20\n4,,20\n");
    EXPECT_THAT(namesOf(table), ElementsAre("T1", "T2"));
    EXPECT_EQ(table.summaries[0].kept, 0U);
    EXPECT_EQ(table.summaries[0].max, std::nullopt);
    EXPECT_THAT(table.odd_cells, IsEmpty());
}

TEST(CsvRows, findsNumbersThatBeginFarBelowWords) {
    std::string text = header;
    for (int i = 0; i < 20000; ++i) {
        text += std::to_string(i) + ",OL,20\n";
    }
    const Table table = tableOf(text + "20000,99,20\n");
    ASSERT_EQ(table.channels.size(), 2U);
    EXPECT_EQ(table.summaries[0].kept, 1U);
    EXPECT_EQ(table.summaries[0].max_at_s, 20000.0);
    EXPECT_THAT(table.odd_cells,
                ElementsAre(Refusal{2, "\"T1\" holds \"OL\", which is no number (and so in 20000 rows up to line "
                                       "20001)"}));
}

TEST(CsvRows, survivesALoggerThatLostItsPower) {
    const Table table = tableOf(header + "0,20,20\n" + four_rows + "5,2" + std::string(3000, '\0'));
    EXPECT_EQ(table.time_s.size(), 5U);
    EXPECT_THAT(linesOf(table.refused), ElementsAre(7));
}

TEST(CsvRows, findsTheFirstOfEqualMaxima) {
    const Table table = tableOf(header + "0,20,20\n0.5,24,20\n" + four_rows);
    EXPECT_EQ(table.summaries[0].max_at_s, 0.5);
    EXPECT_EQ(table.summaries[0].min, 20.0);
}

TEST(CsvRows, listsNoMoreThanItSaysButCountsAll) {
    std::string text = header + "0,20,20\n" + four_rows;
    for (std::size_t i = 0; i < max_listed + 500; ++i) {
        text += "x,1,1\n" + std::to_string(5 + i) + ",25,20\n";
    }
    const Table table = tableOf(text);
    EXPECT_EQ(table.rows_refused, max_listed + 500);
    EXPECT_EQ(table.refused.size(), max_listed);
}

struct FaultCase {
    std::string title;
    std::string text;
    std::string says;
};

TEST(CsvFault, isOneClearLine) {
    std::string binary;
    for (int i = 0; i < 5000; ++i) {
        binary += static_cast<char>(i * 37 % 256);
    }
    const std::vector<FaultCase> cases{
        {"empty", "", "the file is empty"},
        {"only line ends", "\n\r\n \n", "the file is empty"},
        {"mark alone", "\xEF\xBB\xBF", "the file is empty"},
        {"header only", header, "no row of numbers"},
        {"one row", header + "0,20,20\n", "fewer than 5 distinct times"},
        {"four times", header + four_rows + four_rows, "fewer than 5 distinct times"},
        {"words", "a,b\nc,d\ne,f\n", "no row of numbers"},
        {"words beside a time", "time_s,T1\n0,a\n1,b\n2,c\n3,d\n4,e\n", "no row has a readable time and a number"},
        {"nan throughout", "time_s,T1\n0,nan\n1,nan\n2,nan\n3,nan\n4,nan\n", "no row has a readable time and a number"},
        {"insane values", "time_s,T1\n0,1e308\n1,1e308\n2,-5000\n3,9999\n4,1e30\n",
         "no value within -273.15 to 3000 °C"},
        {"insane kelvin", "time_s,T1 (K)\n0,-1\n1,-2\n2,-3\n3,5000\n4,6000\n", "no value within"},
        {"binary", binary, "binary file"},
        {"new spreadsheet", std::string("PK\x03\x04", 4) + binary, "save it as CSV"},
        {"old spreadsheet", "\xD0\xCF\x11\xE0" + binary, "save it as CSV"},
        {"long line", std::string(30 << 20, 'x'), "more than 1 MB"},
        {"long line of cells", header + std::string(3 << 20, ','), "more than 1 MB"},
        {"time alone", "time_s\n0\n1\n2\n3\n4\n", "no column of values"},
    };
    for (const FaultCase& given : cases) {
        const std::string refusal = refusalOf(given.text);
        EXPECT_THAT(refusal, HasSubstr(given.says)) << given.title;
        EXPECT_THAT(refusal, ::testing::StartsWith("run.csv")) << given.title;
        EXPECT_THAT(refusal, HasSubstr(";")) << given.title << ": says nothing of what to do";
        EXPECT_EQ(refusal.find('\n'), std::string::npos) << given.title;
    }
}

TEST(CsvFault, namesTheLineThatIsTooLong) {
    std::string text = header;
    for (int i = 0; i < 200000; ++i) {
        text += std::to_string(i) + ",20,20\n";
    }
    EXPECT_THAT(refusalOf(text + std::string(3 << 20, '1') + "\n"), HasSubstr("run.csv:200002:"));
}

} // namespace
} // namespace potwatch::csv::testing
