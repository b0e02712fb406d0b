// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/byte_source.h"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::serial {

inline constexpr std::size_t longest_line = 4096; // bytes

// A line of a device, without its end.
struct Line {
    std::string text;                 // cut at longest_line
    Moment came;                      // when its last byte came
    std::chrono::nanoseconds pause{}; // the longest silence within it
    bool is_too_long = false;
    bool has_end = true; // false: the source ended first, so that the line may be cut

    bool operator==(const Line&) const = default;
};

// Cuts bytes into lines at \n, \r\n and \r. Empty lines are passed over. Memory: one line of longest_line.
class LineAssembler {
public:
    // After a device was (re)connected. may_start_midway: what comes before the first end of a line is dropped, as it
    // can be the rest of one.
    void restart(bool may_start_midway);

    // The lines that are complete with these bytes.
    [[nodiscard]] std::vector<Line> take(std::string_view bytes, Moment at);

    // What is left when the source ends: a line without an end, or nothing.
    [[nodiscard]] std::vector<Line> rest();

private:
    void add(char byte);

    Line line_;
    Moment last_byte_;
    bool drops_ = false;
    bool after_return_ = false; // a \n now belongs to the \r before it
};

} // namespace potwatch::serial
