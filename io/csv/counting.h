// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/csv/sample.h"
#include "io/csv/vocabulary.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::csv {

// How the numbers of a column go on from row to row: like a clock, like row numbers, or neither.

struct Steps {
    double rising = 0.0;  // fraction of steps up
    double falling = 0.0; // fraction of steps down
    double median = 0.0;  // of the steps up
    double regular = 0.0; // fraction of the steps up within a factor of ten of the median
};

[[nodiscard]] Steps stepsOf(const std::vector<double>& values);

[[nodiscard]] bool risesLikeAClock(const Steps& steps);

// Steps of exactly one nearly all through: row numbers.
[[nodiscard]] bool isCounter(const ColumnSample& column);

// Numbers that count from 1970 in this unit (the stated one, if any), for any moment from 1979 to 2128.
[[nodiscard]] std::optional<TimeUnit> epochUnit(const std::vector<double>& values,
                                                const std::optional<TimeUnit>& stated);

// Days as spreadsheets count them, from 1899-12-30, for 2000 to 2099: five digits with a fraction that creeps.
[[nodiscard]] bool looksLikeSpreadsheetDays(const ColumnSample& column, const std::string& name, const Steps& steps);

} // namespace potwatch::csv
