// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/import.h"

#include <cstdint>
#include <optional>
#include <string_view>

namespace potwatch::csv {

// What a text of a clock says, as written: a date, a time of day or both; or a time that has elapsed (d.hh:mm:ss).
struct Moment {
    enum class Date { none, yearFirst, named, dayOrMonthFirst };

    Date date = Date::none;
    int year = 0;
    int month = 0; // yearFirst and named
    int day = 0;
    int first = 0; // dayOrMonthFirst: the two fields in the order written
    int second = 0;
    char date_separator = '\0';

    bool has_time = false;
    int time_fields = 0;      // 2: hh:mm or mm:ss, counted as hh:mm in time_us; 3: hh:mm:ss
    std::int64_t time_us = 0; // of the day, or elapsed, with its sign
    bool has_fraction = false;
    bool has_days = false; // elapsed time with days in front
    bool has_meridiem = false;
    std::optional<int> offset_s; // from UTC
};

// Reads times (hh:mm, hh:mm:ss with fraction, AM/PM, d.hh:mm:ss, "2 days 03:04:05") and dates (year, day or month first
// with - / or dots, month names, two-digit years, ISO 8601 extended and basic with offset, a weekday in front), in any
// sensible order. Nothing where the text is a plain number or is not understood to its end. Source: ISO 8601-1:2019 for
// its forms; two-digit years 69-99 are 1969-1999 as in POSIX strptime %y. The rest is common practice, no source.
[[nodiscard]] std::optional<Moment> readMoment(std::string_view text);

// Microseconds from 1970-01-01T00:00 (UTC where the moment has an offset, else local), or the time of day or elapsed
// time where there is no date. Nothing where the calendar has no such day or the clock no such time.
[[nodiscard]] std::optional<std::int64_t> microseconds(const Moment& moment, DateOrder order);

} // namespace potwatch::csv
