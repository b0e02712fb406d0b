// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/line_format.h"

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::serial {

using Lines = std::vector<std::string_view>;

// A way in which lines may be built. Columns have their place and, where lines or header say them, names and units.
struct Candidate {
    LineFormat format;
    bool has_header = false;
    int unexplained = 0; // parts of a line that are neither values, units, names nor clocks
    std::vector<std::string> remarks;
};

// All ways in which some of the lines give at least one number, the plainest first.
[[nodiscard]] std::vector<Candidate> candidatesFor(const Lines& lines);

} // namespace potwatch::serial
