// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording_news.h"
#include "io/serial/device.h"
#include "io/serial/line_assembler.h"
#include "io/serial/line_decoder.h"

#include <array>
#include <chrono>
#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::session {

using serial::Moment;

// A line that was understood.
struct ReadScan {
    Moment at;
    std::vector<double> values;    // as received, one a column; NaN where open
    std::vector<std::string> open; // one a column: the word that stands there
};

// A line that was not.
struct ReadRefusal {
    Moment at;
    std::string line;
    std::string reason;
};

// What became of some bytes.
struct ReadLines {
    std::optional<FormatFound> found;
    std::optional<Fault> not_understood; // many lines have come, and no format explains them; told once
    std::vector<ReadScan> scans;         // times rise
    std::vector<ReadRefusal> refused;
};

// Turns a device's bytes into scans: finds out how its lines are built, and from then on decodes them. No line is lost
// meanwhile: those that it was found on are decoded too.
// Lines that came together were measured one after the other: they get times at the device's usual pace, the last that
// at which it came, none before the line that came earlier.
// A temperature that looks like a number with digits lost or won (io/serial/spoiled_number.h) waits for the next line:
// it counts where that one bears it out, and is refused where it does not.
class LineReader {
public:
    explicit LineReader(serial::Device device);

    void connected(bool may_start_midway);
    [[nodiscard]] ReadLines take(std::string_view bytes, Moment at);
    // Time has passed: the lines that are there must do to find the format.
    [[nodiscard]] ReadLines look(Moment now);
    // The source has ended: what is left.
    [[nodiscard]] ReadLines end(Moment now);

    // The usual time between two lines; zero while it is not known.
    [[nodiscard]] std::chrono::nanoseconds interval() const { return interval_; }
    [[nodiscard]] bool knowsFormat() const { return decoder_.has_value(); }
    // Lines, understood or not, that have come so far.
    [[nodiscard]] std::size_t lines() const { return lines_; }

private:
    void giveTimes(std::vector<serial::Line>& lines, Moment at);
    void noteInterval(std::chrono::nanoseconds interval);
    void tryToFind(std::size_t enough, ReadLines& into);
    void begin(FormatFound found, serial::LineDecoder decoder, ReadLines& into);
    void decode(const serial::Line& line, ReadLines& into);
    void take(ReadScan scan, const std::string& line, ReadLines& into);
    void settle(const ReadScan* next, ReadLines& into);
    [[nodiscard]] std::vector<std::size_t> doubtsOf(const ReadScan& scan) const;

    serial::Device device_;
    serial::LineAssembler assembler_;
    std::optional<serial::LineDecoder> decoder_;
    std::deque<serial::Line> looked_at_; // until the format is known
    struct Held {
        ReadScan scan;
        std::string line;
        std::vector<std::size_t> doubts; // columns
    };
    std::optional<Held> held_;
    std::vector<double> latest_; // that count, one a column; NaN = none since the device was connected
    struct Doubt {
        double value = 0.0;
        std::size_t line = 0;
    };
    std::vector<std::optional<Doubt>> refused_; // the latest value of a column that was refused in doubt
    std::optional<Moment> first_line_;
    std::optional<Moment> last_line_;
    std::size_t lines_ = 0;
    bool has_complained_ = false;
    std::array<std::chrono::nanoseconds, 15> intervals_{}; // the latest
    std::size_t interval_count_ = 0;
    std::chrono::nanoseconds interval_{};
};

} // namespace potwatch::session
