// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/serial/line_format.h"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace potwatch::serial {

// How the lines of a device are built, as far as its first lines show it.
struct FoundFormat {
    LineFormat format;
    std::vector<std::string> remarks; // what was taken for granted, what is left out
};

// The format that explains the lines best: those of which it understands most, among equals the plainest. Columns that
// are clocks or count lines are left out: the recorder has a clock of its own. `unit` is that of values whose unit
// nothing says. `enough`: so many lines at least must be understood, and 6 of 10 from the first of them on.
// Errors: missing (not enough lines yet, or none that is understood); input (a comma that can be a decimal mark as well
// as a separator: names the way out).
[[nodiscard]] Result<FoundFormat> findFormat(std::span<const std::string> lines, const std::string& unit,
                                             std::size_t enough);

// "lines of 3 values, parted by commas, with a decimal point".
[[nodiscard]] std::string inWords(const LineFormat& format);

} // namespace potwatch::serial
