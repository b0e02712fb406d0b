// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/serial/line_assembler.h"
#include "io/serial/line_format.h"

#include <chrono>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::serial {

// What a line says.
struct DecodedLine {
    enum class Kind {
        values,
        passed_over, // the header once more
        refused      // not understood: no part of it counts
    };
    Kind kind = Kind::refused;
    std::vector<double> values;               // one a column; NaN where its sensor is open
    std::vector<std::string> open;            // one a column: the word that stands there; empty = it reads
    std::string reason;                       // why it was refused
    std::vector<std::optional<int>> decimals; // one a column: digits behind the mark; empty = not told (JSON, open)
    bool ends_in_zero = false;                // one of the values does, behind its mark
};

// Turns lines of one format into numbers. A line is understood as a whole or refused as a whole: a value that cannot be
// read, one too many or one too few, bytes that are no text, a wrong checksum.
// Threads: one at a time.
class LineDecoder {
public:
    // Errors: input (no column; a pattern that is no regular expression, or has too few groups; columns without a
    // place).
    [[nodiscard]] static Result<LineDecoder> make(const LineFormat& format);

    [[nodiscard]] DecodedLine decode(std::string_view line) const;

    // The same for a line as it came. A line that was interrupted for longer than half of `interval` (the usual time
    // between lines; zero = not known), and for 200 ms, is refused too: it is the start of one and the end of another.
    [[nodiscard]] DecodedLine decode(const Line& line, std::chrono::nanoseconds interval) const;

    [[nodiscard]] const LineFormat& format() const;

    LineDecoder(LineDecoder&&) noexcept;
    LineDecoder& operator=(LineDecoder&&) noexcept;
    ~LineDecoder();

private:
    struct Parts;
    explicit LineDecoder(std::unique_ptr<Parts> parts);
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::serial
