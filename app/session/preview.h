// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/open.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::session {

// What the importer makes of a file, shown before anything is kept.
struct Preview {
    std::string file;
    csv::Table table; // with the first rows only; its counts and summaries are of the whole file
    std::size_t rows_kept = 0;
    double span_s = 0.0;
    std::optional<double> interval_s; // the middle one of all
    std::string name;                 // the run's, as it will stand in the book
    std::string batch_file;           // that goes with it; empty = none
    std::vector<Fault> faults;        // why it cannot be imported as it stands; empty = it can
};

inline constexpr std::size_t preview_rows = 12;

// Seconds from one row to the next, the middle one of all; steps back and repeated times do not count. Empty where
// there is none.
[[nodiscard]] std::optional<double> medianInterval(const std::vector<double>& time_s);

// Reads a file for the preview. What keeps it from being imported stands in `faults`: those of the table (also one that
// is too large for this machine's memory, before it is read), of its batch file, and of units and thermocouples.
[[nodiscard]] Preview preview(const std::string& file, const OpenOptions& options, const Progress& progress = {},
                              std::stop_token stop = {});

} // namespace potwatch::session
