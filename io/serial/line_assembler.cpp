// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/line_assembler.h"

#include <algorithm>
#include <utility>

namespace potwatch::serial {

void LineAssembler::restart(bool may_start_midway) {
    line_ = {};
    drops_ = may_start_midway;
    after_return_ = false;
}

std::vector<Line> LineAssembler::take(std::string_view bytes, Moment at) {
    std::vector<Line> lines;
    if (!line_.text.empty()) {
        line_.pause = std::max<std::chrono::nanoseconds>(line_.pause, at - last_byte_);
    }
    for (const char byte : bytes) {
        const bool is_second_half = byte == '\n' && std::exchange(after_return_, byte == '\r');
        if (is_second_half) {
            continue;
        }
        if (byte != '\n' && byte != '\r') {
            add(byte);
            continue;
        }
        const bool was_dropped = std::exchange(drops_, false);
        line_.came = at;
        Line line = std::exchange(line_, {});
        if (!line.text.empty() && !was_dropped) {
            lines.push_back(std::move(line));
        }
    }
    last_byte_ = at;
    return lines;
}

std::vector<Line> LineAssembler::rest() {
    line_.came = last_byte_;
    line_.has_end = false;
    Line line = std::exchange(line_, {});
    return line.text.empty() || drops_ ? std::vector<Line>() : std::vector<Line>{std::move(line)};
}

void LineAssembler::add(char byte) {
    if (line_.text.size() < longest_line) {
        line_.text += byte;
    } else {
        line_.is_too_long = true;
    }
}

} // namespace potwatch::serial
