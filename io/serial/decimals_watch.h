// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/line_decoder.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace potwatch::serial {

// Learns from the lines of a device whether it writes its numbers with a fixed number of decimals. Then a number with
// fewer has lost its end, which nothing else shows: "20" of "20.49".
class DecimalsWatch {
public:
    // A line that was understood. Returns true once, when it is proven: all numbers of a column had as many decimals,
    // and one of them ended in a zero, which whoever writes as few digits as will do leaves out.
    [[nodiscard]] bool note(const DecodedLine& line);

    // States what was learned in the format's columns.
    void apply(LineFormat& format) const;

private:
    static constexpr std::size_t enough_lines = 3;

    struct Column {
        std::optional<int> decimals;
        bool varies = false;
    };
    std::vector<Column> columns_;
    std::size_t lines_ = 0;
    bool has_zero_ = false;
    bool is_proven_ = false;
};

} // namespace potwatch::serial
