// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/header.h"
#include "io/csv/import.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::csv {

// How a row's time is read. The raw time is a number in the column's own unit, or microseconds where it is written as a
// text; seconds from the first row = (raw - first raw) * numerator / denominator.
struct ClockPlan {
    enum class Source { number, text, interval };

    Source source = Source::number;
    // One; or date, time and AM/PM, or year to second, that stand apart and are read as one text: a joint before each
    // part after the first, and a tail.
    std::vector<std::size_t> columns;
    std::string joints;
    std::string tail;
    bool needs_time = false; // a column tells the time of day: a row that leaves it empty is not midnight
    double numerator = 1.0;
    double denominator = 1.0;
    char decimal = '.';
    std::string cell_unit;
    std::string label; // Table::clock

    // Texts
    bool dated = false;
    bool ambiguous_dates = false; // day first or month first: decided on the whole file, unless the person said
    DateOrder order = DateOrder::dayFirst;
    bool order_by_person = false;
    bool minutes_first = false; // two fields are mm:ss
    double wrap_us = 0.0; // a time of day that falls by about this much has passed midnight (mm:ss: the full hour)

    // Numbers that count from a known moment
    std::optional<double> origin_s; // seconds from 1970-01-01T00:00 at which the numbers are zero
    bool origin_is_utc = false;
};

struct ClockChoice {
    ClockPlan plan;
    std::vector<std::size_t> other_clocks; // columns that tell the time as well: no values
    std::vector<std::string> notes;
};

// The time column, from names and content together; options.time_column and options.interval_s overrule.
// Errors: input (none, or the one named is not there or holds no times).
[[nodiscard]] Result<ClockChoice> chooseClock(const Head& head, const ImportOptions& options, const std::string& file);

} // namespace potwatch::csv
