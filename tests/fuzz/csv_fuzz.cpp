// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/import.h"

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

// Whatever bytes come in, the importer gives a sound table or one fault, never a crash. The first byte chooses the
// options.

namespace {

using namespace potwatch;

void require(bool holds, const char* what) {
    if (!holds) {
        std::fprintf(stderr, "does not hold: %s\n", what);
        std::abort();
    }
}

csv::ImportOptions optionsFor(unsigned choice) {
    csv::ImportOptions options;
    options.workers = 1;
    if ((choice & 1U) != 0) {
        options.date_order = (choice & 2U) != 0 ? csv::DateOrder::dayFirst : csv::DateOrder::monthFirst;
    }
    if ((choice & 4U) != 0) {
        options.interval_s = 0.5;
    }
    if ((choice & 8U) != 0) {
        options.time_column = (choice & 2U) != 0 ? "1" : "time";
    }
    if ((choice & 16U) != 0) {
        options.columns = {"2", "3"};
    }
    if ((choice & 32U) != 0) {
        options.unit = "degF";
    }
    return options;
}

void requireAscending(const std::vector<csv::Refusal>& list, const char* what) {
    require(list.size() <= csv::max_listed, what);
    long line = 0;
    for (const csv::Refusal& refusal : list) {
        require(refusal.line >= line && refusal.line > 0, what);
        require(!refusal.reason.empty() && refusal.reason.find('\n') == std::string::npos, what);
        line = refusal.line;
    }
}

void requireSound(const csv::Table& table) {
    require(table.time_s.size() >= 5 && table.time_s.front() == 0.0, "time starts at 0");
    for (const double time : table.time_s) {
        require(std::isfinite(time), "times are finite");
    }
    require(!table.channels.empty() && table.channels.size() == table.summaries.size(), "a summary for each channel");
    std::vector<bool> holds_number(table.time_s.size());
    for (std::size_t c = 0; c < table.channels.size(); ++c) {
        const Channel& channel = table.channels[c];
        const csv::ColumnSummary& summary = table.summaries[c];
        require(channel.values.size() == table.time_s.size(), "channels are as long as the time");
        std::size_t kept = 0;
        for (std::size_t r = 0; r < channel.values.size(); ++r) {
            const double value = channel.values[r];
            require(!std::isinf(value), "values are finite or missing");
            if (!std::isnan(value)) {
                ++kept;
                holds_number[r] = true;
                require(*summary.min <= value && value <= *summary.max, "min and max enclose the values");
            }
        }
        require(kept == summary.kept && kept + summary.missing + summary.text_cells == channel.values.size(),
                "counts add up");
        require((kept > 0) == summary.max_at_s.has_value(), "a maximum where there are values");
    }
    for (const bool holds : holds_number) {
        require(holds, "each row holds a number");
    }
    requireAscending(table.refused, "refused lines");
    requireAscending(table.clock_faults, "clock faults");
    requireAscending(table.odd_cells, "odd cells");
    require(table.rows_refused >= table.refused.size(), "refused rows are counted");
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) {
        return 0;
    }
    const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
    // The corpus is kept readable: a digit or letter in front chooses as well.
    const Result<csv::Table> table = csv::readBytes(bytes, "fuzz.csv", optionsFor(data[0] - std::uint8_t{'0'}));
    if (table) {
        requireSound(*table);
    } else {
        require(!table.error().what.empty() && !table.error().remedy.empty(), "a fault says what and what to do");
        require(describe(table.error()).find('\n') == std::string::npos, "a fault is one line");
    }
    return 0;
}
