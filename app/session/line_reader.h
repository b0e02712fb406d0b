// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording_news.h"
#include "io/serial/decimals_watch.h"
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
// A temperature that looks like a number with digits lost or won (io/serial/spoiled_number.h) waits for the next three
// lines: it counts where they bear it out, and is refused where they do not.
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
    void learnDecimals(const serial::DecodedLine& line);
    void take(ReadScan scan, const std::string& line, ReadLines& into);
    void accept(ReadScan scan, ReadLines& into);
    void acceptHeld(ReadLines& into);
    void refuseHeld(ReadLines& into);
    [[nodiscard]] bool bearsOut(const ReadScan& next) const;
    [[nodiscard]] std::vector<std::size_t> doubtsOf(const ReadScan& scan) const;

    serial::Device device_;
    serial::LineAssembler assembler_;
    std::optional<serial::LineDecoder> decoder_;
    std::optional<serial::DecimalsWatch> decimals_; // where the format was found by looking
    std::deque<serial::Line> looked_at_;            // until the format is known
    struct Held {
        ReadScan scan;
        std::string line;
    };
    std::vector<Held> held_;          // a line in doubt, and those that bear it out so far
    std::vector<std::size_t> doubts_; // of its columns
    std::vector<double> latest_;      // that count, one a column; NaN = none since the device was connected
    std::optional<Moment> first_line_;
    std::optional<Moment> last_line_;
    std::size_t lines_ = 0;
    bool has_complained_ = false;
    std::array<std::chrono::nanoseconds, 15> intervals_{}; // the latest
    std::size_t interval_count_ = 0;
    std::chrono::nanoseconds interval_{};
};

} // namespace potwatch::session
