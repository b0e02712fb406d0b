// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/io/csv/reading.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <ostream>

namespace potwatch::csv::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// A table with these times, 20 °C and upwards, under a header.
std::string tableWith(const std::vector<std::string>& times, const std::string& name = "time",
                      const std::string& delimiter = ",") {
    std::string text = name + delimiter + "pot_c\n";
    for (std::size_t i = 0; i < times.size(); ++i) {
        text += fmt::format("{}{}{}\n", times[i], delimiter, 20 + i);
    }
    return text;
}

constexpr std::int64_t aug_26_2021_10h_us =
    1'629'972'000'000'000; // 2021-08-26T10:00:00, days counted by hand from 1970

struct ClockCase {
    std::string title;
    std::vector<std::string> times;
    std::string clock;
    std::vector<double> seconds;
    std::string name = "time";
    std::string delimiter = ",";
};

void PrintTo(const ClockCase& given, std::ostream* out) {
    *out << given.title;
}

class CsvClockForms : public ::testing::TestWithParam<ClockCase> {};

TEST_P(CsvClockForms, areRead) {
    const ClockCase& given = GetParam();
    const Table table = tableOf(tableWith(given.times, given.name, given.delimiter));
    EXPECT_EQ(table.clock, given.clock);
    ASSERT_EQ(table.time_s.size(), given.seconds.size());
    for (std::size_t i = 0; i < given.seconds.size(); ++i) {
        // Spreadsheet days to ten places tell the time to 9 us.
        EXPECT_NEAR(table.time_s[i], given.seconds[i], 1e-5) << given.times[i];
    }
    EXPECT_THAT(table.refused, IsEmpty());
}

std::vector<ClockCase> clockCases() {
    const std::vector<double> by_second{0, 1, 2, 3, 4};
    const std::vector<double> by_minute{0, 60, 120, 180, 240};
    return {
        {"secondsFromTheName", {"0", "1", "2", "3", "4"}, "seconds", by_second, "t_s"},
        {"secondsNotFromZero", {"10.5", "11.5", "12.5", "13.5", "14.5"}, "seconds", by_second, "Time [sec]"},
        {"minutes", {"0", "1", "2", "3", "4"}, "minutes", by_minute, "Time (min)"},
        {"minutesAsAName", {"0.0", "1.0", "2.0", "3.0", "4.0"}, "minutes", by_minute, "Minutes"},
        {"hours", {"0", "0.5", "1.0", "1.5", "2"}, "hours", {0, 1800, 3600, 5400, 7200}, "elapsed (h)"},
        {"milliseconds", {"0", "1000", "2000", "3000", "4000"}, "milliseconds", by_second, "t/ms"},
        {"millisAsAName", {"15", "1015", "2015", "3015", "4015"}, "milliseconds", by_second, "millis"},
        {"epochSeconds",
         {"1629972000", "1629972001", "1629972002", "1629972003", "1629972004"},
         "epoch seconds",
         by_second},
        {"epochFractions",
         {"1629972000.25", "1629972001.25", "1629972002.25", "1629972003.25", "1629972004.25"},
         "epoch seconds",
         by_second,
         "ts"},
        {"epochMilliseconds",
         {"1629972000000", "1629972001000", "1629972002000", "1629972003000", "1629972004000"},
         "epoch milliseconds",
         by_second,
         "timestamp_ms"},
        {"epochMicroseconds",
         {"1629972000000000", "1629972001000000", "1629972002000000", "1629972003000000", "1629972004000000"},
         "epoch microseconds",
         by_second},
        {"spreadsheetDays",
         {"44434.4166666667", "44434.4173611111", "44434.4180555556", "44434.41875", "44434.4194444444"},
         "spreadsheet days",
         {0, 60, 120, 180, 240},
         "Date"},
        {"clockTime", {"10:00:00", "10:00:01", "10:00:02", "10:00:03", "10:00:04"}, "hh:mm:ss", by_second},
        {"clockTimeWithFraction",
         {"0:00:00.5", "0:00:01.5", "0:00:02.5", "0:00:03.5", "0:00:04.5"},
         "hh:mm:ss",
         by_second},
        {"clockTimeWithCommaFraction",
         {"00:00:00,250", "00:00:01,250", "00:00:02,250", "00:00:03,250", "00:00:04,250"},
         "hh:mm:ss",
         by_second,
         "time",
         ";"},
        {"clockTimeWithMilliseconds",
         {"10:00:00:000", "10:00:01:000", "10:00:02:000", "10:00:03:000", "10:00:04:000"},
         "hh:mm:ss",
         by_second},
        {"overADay", {"23:59:58", "23:59:59", "24:00:00", "24:00:01", "24:00:02"}, "hh:mm:ss", by_second},
        {"minutesAndSeconds", {"00:00", "00:30", "01:00", "01:30", "02:00"}, "mm:ss", {0, 30, 60, 90, 120}},
        {"minutesAndSecondsBeyondADay", {"58:00", "59:00", "60:00", "61:00", "62:00"}, "mm:ss", by_minute},
        {"hoursAndMinutes", {"10:05", "10:06", "10:07", "10:08", "10:09"}, "hh:mm", by_minute},
        {"hoursAndMinutesByName", {"00:00", "00:01", "00:02", "00:03", "00:04"}, "hh:mm", by_minute, "time (hh:mm)"},
        {"daysInFront",
         {"0.23:59:58", "0.23:59:59", "1.00:00:00", "1.00:00:01", "1.00:00:02"},
         "d.hh:mm:ss",
         by_second},
        {"daysInWords",
         {"0 days 00:00:00", "0 days 00:00:01", "0 days 00:00:02", "1 day 00:00:03", "1 days 00:00:04"},
         "d.hh:mm:ss",
         {0, 1, 2, 86403, 86404}},
        {"afternoon",
         {"11:59:58 AM", "11:59:59 AM", "12:00:00 PM", "12:00:01 PM", "12:00:02 PM"},
         "hh:mm:ss AM/PM",
         by_second},
        {"iso",
         {"2021-08-26T10:00:00", "2021-08-26T10:00:01", "2021-08-26T10:00:02", "2021-08-26T10:00:03",
          "2021-08-26T10:00:04"},
         "ISO 8601",
         by_second},
        {"isoWithBlank",
         {"2021-08-26 10:00:00.5", "2021-08-26 10:00:01.5", "2021-08-26 10:00:02.5", "2021-08-26 10:00:03.5",
          "2021-08-26 10:00:04.5"},
         "ISO 8601",
         by_second},
        {"isoWithCommaFraction",
         {"2021-08-26T10:00:00,5", "2021-08-26T10:00:01,5", "2021-08-26T10:00:02,5", "2021-08-26T10:00:03,5",
          "2021-08-26T10:00:04,5"},
         "ISO 8601",
         by_second,
         "time",
         ";"},
        {"isoInUtc",
         {"2021-08-26T10:00:00Z", "2021-08-26T10:00:01Z", "2021-08-26T10:00:02Z", "2021-08-26T10:00:03Z",
          "2021-08-26T10:00:04Z"},
         "ISO 8601",
         by_second},
        {"isoWhoseOffsetChanges",
         {"2021-10-31T02:59:58+02:00", "2021-10-31T02:59:59+02:00", "2021-10-31T02:00:00+01:00",
          "2021-10-31T02:00:01+0100", "2021-10-31T02:00:02+01"},
         "ISO 8601",
         by_second},
        {"isoBasic",
         {"20210826T100000", "20210826T100001", "20210826T100002", "20210826T100003", "20210826T100004"},
         "ISO 8601",
         by_second},
        {"fourteenDigits",
         {"20210826100000", "20210826100001", "20210826100002", "20210826100003", "20210826100004"},
         "ISO 8601",
         by_second},
        {"isoUnderscore",
         {"2021-08-26_10:00", "2021-08-26_10:01", "2021-08-26_10:02", "2021-08-26_10:03", "2021-08-26_10:04"},
         "ISO 8601",
         by_minute},
        {"isoDash",
         {"2021-08-26-10:00:00", "2021-08-26-10:00:01", "2021-08-26-10:00:02", "2021-08-26-10:00:03",
          "2021-08-26-10:00:04"},
         "ISO 8601",
         by_second},
        {"eightDigits",
         {"20210826", "20210827", "20210828", "20210829", "20210830"},
         "ISO 8601",
         {0, 86400, 172800, 259200, 345600},
         "date"},
        {"yearFirst",
         {"2021/08/26 10:00", "2021/08/26 10:01", "2021/08/26 10:02", "2021/08/26 10:03", "2021/08/26 10:04"},
         "date year-first",
         by_minute},
        {"dayFirst",
         {"26/08/2021 10:00:00", "26/08/2021 10:00:01", "26/08/2021 10:00:02", "26/08/2021 10:00:03",
          "26/08/2021 10:00:04"},
         "date day-first",
         by_second},
        {"dayFirstWithDots",
         {"26.08.2021 10:00:00", "26.08.2021 10:00:01", "26.08.2021 10:00:02", "26.08.2021 10:00:03",
          "26.08.2021 10:00:04"},
         "date day-first",
         by_second},
        {"monthFirst",
         {"8/26/2021 10:00:00 PM", "8/26/2021 10:00:01 PM", "8/26/2021 10:00:02 PM", "8/26/2021 10:00:03 PM",
          "8/26/2021 10:00:04 PM"},
         "date month-first",
         by_second},
        {"twoDigitYear",
         {"26.08.21 10:00", "26.08.21 10:01", "26.08.21 10:02", "26.08.21 10:03", "26.08.21 10:04"},
         "date day-first",
         by_minute},
        {"monthName",
         {"26-Aug-2021 10:00:00", "26-Aug-2021 10:00:01", "26-Aug-2021 10:00:02", "26-Aug-2021 10:00:03",
          "26-Aug-2021 10:00:04"},
         "date with month name",
         by_second},
        {"monthNameFirst",
         {"Aug 26 2021 10:00:00", "Aug 26 2021 10:00:01", "Aug 26 2021 10:00:02", "Aug 26 2021 10:00:03",
          "Aug 26 2021 10:00:04"},
         "date with month name",
         by_second},
        {"weekdayAndYearLast",
         {"Thu Aug 26 10:00:00 2021", "Thu Aug 26 10:00:01 2021", "Thu Aug 26 10:00:02 2021",
          "Thu Aug 26 10:00:03 2021", "Thu Aug 26 10:00:04 2021"},
         "date with month name",
         by_second},
        {"endOfTheDay",
         {"2021-08-25 23:58", "2021-08-25 23:59", "2021-08-25 24:00", "2021-08-26 00:01", "2021-08-26 00:02"},
         "ISO 8601",
         by_minute},
        {"midnightWithoutTime",
         {"25/08/2021 23:59:59", "26/08/2021", "26/08/2021 00:00:01", "26/08/2021 00:00:02", "26/08/2021 00:00:03"},
         "date day-first",
         by_second},
    };
}

INSTANTIATE_TEST_SUITE_P(Wild, CsvClockForms, ::testing::ValuesIn(clockCases()),
                         [](const ::testing::TestParamInfo<ClockCase>& given) { return given.param.title; });

TEST(CsvClock, saysWhenTheRunStarted) {
    const Table local = tableOf(tableWith({"2021-08-26T10:00:00", "2021-08-26T10:00:01", "2021-08-26T10:00:02",
                                           "2021-08-26T10:00:03", "2021-08-26T10:00:04"}));
    EXPECT_EQ(local.started, (WallTime{.utc_us = aug_26_2021_10h_us, .offset_s = {}}));
    const Table with_offset =
        tableOf(tableWith({"2021-08-26T12:00:00+02:00", "2021-08-26T12:00:01+02:00", "2021-08-26T12:00:02+02:00",
                           "2021-08-26T12:00:03+02:00", "2021-08-26T12:00:04+02:00"}));
    EXPECT_EQ(with_offset.started, (WallTime{.utc_us = aug_26_2021_10h_us, .offset_s = 7200}));
    const Table epoch = tableOf(tableWith({"1629972000", "1629972001", "1629972002", "1629972003", "1629972004"}));
    EXPECT_EQ(epoch.started, (WallTime{.utc_us = aug_26_2021_10h_us, .offset_s = 0}));
    EXPECT_EQ(tableOf(tableWith({"0", "1", "2", "3", "4"})).started, std::nullopt);
}

TEST(CsvClock, joinsADateColumnAndATimeColumn) {
    const Table table = tableOf("Date;Time;T1\n2021-08-26;23:59:59;20\n2021-08-27;00:00:00;21\n2021-08-27;00:00:01;22\n"
                                "2021-08-27;00:00:02;23\n2021-08-27;00:00:03;24\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 1, 2, 3, 4));
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvClock, joinsDateTimeAndMeridiemInThreeColumns) {
    const Table table =
        tableOf("Date Time T1\n8/26/2021 11:59:59 AM 20\n8/26/2021 12:00:00 PM 21\n8/26/2021 12:00:01 PM 22\n"
                "8/26/2021 12:00:02 PM 23\n8/26/2021 12:00:03 PM 24\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 1, 2, 3, 4));
    EXPECT_THAT(valuesOf(table), ElementsAre(20, 21, 22, 23, 24));
}

TEST(CsvClock, joinsYearToSecondInColumnsOfTheirOwn) {
    const Table table = tableOf("Year,Month,Day,Hour,Minute,Second,T1\n2021,8,26,9,59,58,20\n2021,8,26,9,59,59.5,21\n"
                                "2021,8,26,10,0,0,22\n2021,8,26,10,0,1,23\n2021,8,26,10,0,,0\n2021,8,26,10,0,2,24\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 1.5, 2, 3, 4));
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
    EXPECT_THAT(linesOf(table.refused), ElementsAre(6));
    const Table hours =
        tableOf("#YY  MM DD hh  T\n2021 08 26 09  20\n2021 08 26 10  21\n2021 08 26 11  22\n2021 08 26 12  23\n"
                "2021 08 26 13  24\n");
    EXPECT_EQ(hours.time_s.back(), 4 * 3600.0);
    const Table days = tableOf("year;month;day;T\n2021;2;27;1\n2021;2;28;2\n2021;3;1;3\n2021;3;2;4\n2021;3;3;5\n");
    EXPECT_THAT(days.time_s, ElementsAre(0, 86400, 172800, 259200, 345600));
}

TEST(CsvClock, joinsColumnsThatStandApart) {
    const Table table = tableOf("Time,T1,Date\n10:00:00,20,26/08/2021\n10:00:01,21,26/08/2021\n10:00:02,22,26/08/2021\n"
                                "10:00:03,23,26/08/2021\n10:00:04,24,26/08/2021\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 1, 2, 3, 4));
    EXPECT_EQ(table.started, (WallTime{.utc_us = aug_26_2021_10h_us, .offset_s = {}}));
}

TEST(CsvClock, goesOnIntoTheNextDayAndSaysSo) {
    const Table table = tableOf(tableWith({"23:59:58", "23:59:59", "00:00:00", "23:59:59", "00:00:02", "00:00:03"}));
    EXPECT_THAT(table.time_s, ElementsAre(0, 1, 2, 1, 4, 5));
    EXPECT_THAT(table.notes, ::testing::Contains(HasSubstr("starts anew")));
    EXPECT_THAT(linesOf(table.clock_faults), ElementsAre(5));
}

TEST(CsvClock, keepsRepeatedAndBackwardTimesAndNamesTheirLines) {
    const Table table = tableOf(tableWith({"0", "1", "1", "3", "2", "5"}, "time_s"));
    EXPECT_THAT(table.time_s, ElementsAre(0, 1, 1, 3, 2, 5));
    EXPECT_EQ(table.clock_fault_count, 2U);
    EXPECT_THAT(table.clock_faults,
                ElementsAre(Refusal{4, "the same time as the row before"}, Refusal{6, "the time steps back by 1 s"}));
}

TEST(CsvClock, readsATimeThatRunsBackwardsThroughout) {
    const Table table = tableOf(tableWith({"4", "3", "2", "1", "0"}, "time_s"));
    EXPECT_EQ(table.clock_fault_count, 4U);
    EXPECT_EQ(table.time_s.back(), -4.0);
}

TEST(CsvClock, asksForTheOrderOfDayAndMonthWhereBothFit) {
    const std::string text =
        tableWith({"03/04/2021 10:00", "04/04/2021 10:00", "05/04/2021 10:00", "06/04/2021 10:00", "07/04/2021 10:00"});
    EXPECT_THAT(refusalOf(text), HasSubstr("--date-order"));
    const Table day_first = tableOf(text, {.date_order = DateOrder::dayFirst});
    EXPECT_THAT(day_first.time_s, ElementsAre(0, 86400, 172800, 259200, 345600));
    const Table month_first = tableOf(text, {.date_order = DateOrder::monthFirst});
    EXPECT_EQ(month_first.clock, "date month-first");
    EXPECT_EQ(month_first.time_s[1], 31 * 86400.0);
}

TEST(CsvClock, asksForNoOrderWhereItMakesNoDifference) {
    EXPECT_EQ(tableOf(tableWith({"04/04/2021 10:00", "04/04/2021 10:01", "04/04/2021 10:02", "04/04/2021 10:03",
                                 "04/04/2021 10:04"}))
                  .time_s.back(),
              240.0);
}

TEST(CsvClock, learnsTheOrderFromADateFarDownTheFile) {
    std::string text = "time,pot_c\n";
    for (int day = 1; day <= 28; ++day) {
        for (int minute = 0; minute < 300; ++minute) {
            text += fmt::format("08/{:02}/2021 {:02}:{:02}:00,20.5\n", day, minute / 60, minute % 60);
        }
    }
    const Table table = tableOf(text);
    EXPECT_EQ(table.clock, "date month-first");
    EXPECT_EQ(table.rows_refused, 0U);
    EXPECT_EQ(table.time_s.back(), 27 * 86400.0 + 299 * 60.0);
}

TEST(CsvClock, namesTheLinesThatContradictEachOther) {
    const std::string refusal = refusalOf(tableWith(
        {"13/04/2021 10:00", "13/04/2021 10:01", "04/14/2021 10:02", "13/04/2021 10:03", "13/04/2021 10:04"}));
    EXPECT_THAT(refusal, HasSubstr("line 2"));
    EXPECT_THAT(refusal, HasSubstr("line 4"));
}

TEST(CsvClock, refusesDaysThatNoCalendarHas) {
    const Table table =
        tableOf(tableWith({"2021-02-27 10:00", "2021-02-28 10:00", "2021-02-29 10:00", "2021-03-01 10:00",
                           "2021-03-02 10:00", "2021-03-02 25:00", "2021-03-03 10:00"}));
    EXPECT_THAT(linesOf(table.refused), ElementsAre(4, 7));
    EXPECT_THAT(table.refused[0].reason, HasSubstr("2021-02-29 10:00"));
}

TEST(CsvClock, takesNoRowNumberForATime) {
    const std::string text = "no,pot_c\n1,20\n2,20.5\n3,21\n4,22\n5,22.2\n";
    EXPECT_THAT(refusalOf(text), HasSubstr("--interval"));
    EXPECT_EQ(tableOf(text, {.time_column = "no"}).time_s.back(), 4.0);
}

TEST(CsvClock, takesNoFallingOrWanderingColumnForATime) {
    EXPECT_THAT(
        refusalOf("current,voltage,soc\n1.5,3.9,99.5\n1.4,3.8,99.1\n1.6,3.7,98.7\n1.5,3.6,98.1\n1.5,3.5,97.9\n"),
        HasSubstr("no time column"));
}

TEST(CsvClock, prefersAClockToTheRowNumbersBeforeIt) {
    const Table table = tableOf("Read_NO,Time (s),T1,\n1,0,20,\n2,2,21,\n3,4,22,\n4,6,23,\n5,8,24,\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 2, 4, 6, 8));
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
    EXPECT_THAT(table.notes, ::testing::Contains(HasSubstr("Read_NO")));
}

TEST(CsvClock, prefersAFineClockToACoarseOne) {
    const Table table =
        tableOf("Date/Time,Elapsed (s),T1\n2021-08-26 10:00:00,0.0,20\n2021-08-26 10:00:00,0.25,21\n"
                "2021-08-26 10:00:00,0.5,22\n2021-08-26 10:00:00,0.75,23\n2021-08-26 10:00:01,1.0,24\n");
    EXPECT_THAT(table.time_s, ElementsAre(0, 0.25, 0.5, 0.75, 1.0));
    EXPECT_THAT(namesOf(table), ElementsAre("T1"));
}

TEST(CsvClock, countsRowsWhereThePersonSaysHowFarTheyAreApart) {
    const Table table = tableOf("pot_c\n20\n21\nOL\n23\n24\n25\n", {.interval_s = 0.5});
    EXPECT_THAT(table.time_s, ElementsAre(0, 0.5, 1.5, 2, 2.5)); // the refused row took its time as well
    EXPECT_EQ(table.clock, "interval");
    EXPECT_THAT(linesOf(table.refused), ElementsAre(4));
}

TEST(CsvClock, refusesAnIntervalThatIsNone) {
    for (const double interval_s : {0.0, -1.0}) {
        EXPECT_THAT(refusalOf("pot_c\n20\n21\n22\n23\n24\n", {.interval_s = interval_s}), HasSubstr("above 0"));
    }
}

TEST(CsvClock, takesTheColumnThatThePersonNames) {
    const std::string text = "a,b,c\n0,5,1\n1,4,3\n2,5,5\n3,4,7\n4,6,9\n";
    EXPECT_THAT(tableOf(text, {.time_column = "c"}).time_s, ElementsAre(0, 2, 4, 6, 8));
    EXPECT_THAT(tableOf(text, {.time_column = "3"}).time_s, ElementsAre(0, 2, 4, 6, 8));
    EXPECT_THAT(refusalOf(text, {.time_column = "d"}), HasSubstr("the columns are \"a\", \"b\", \"c\""));
}

TEST(CsvClock, takesNoRisingTemperatureForATime) {
    const Table table =
        tableOf("time_s,Second probe,Temp after 10 minutes\n0,20,30\n1,21.5,31\n2,22,32\n3,23,33\n4,24.5,34.5\n");
    EXPECT_THAT(namesOf(table), ElementsAre("Second probe", "Temp after 10 minutes"));
}

TEST(CsvClock, refusesTimesBeyondAnyRun) {
    const Table table = tableOf(tableWith({"0", "1", "1e300", "3", "nan", "5", "inf", "7"}, "time_s"));
    EXPECT_THAT(linesOf(table.refused), ElementsAre(4, 6, 8));
}

} // namespace
} // namespace potwatch::csv::testing
