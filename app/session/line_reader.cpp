// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/line_reader.h"

#include "io/csv/encoding.h"
#include "io/serial/line_finder.h"
#include "io/serial/spoiled_number.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t enough_lines = 3; // to tell how they are built
constexpr auto patience = 2s;           // then one must do
constexpr std::size_t most_looked_at = 50;
constexpr std::size_t many_in_vain = 12;
constexpr std::size_t lines_that_bear_out = 3; // lines that broke off come in a row now and then
constexpr double missing = std::numeric_limits<double>::quiet_NaN();

std::string shown(const std::string& line) {
    return csv::excerpt(line, csv::Encoding::latin1);
}

} // namespace

LineReader::LineReader(serial::Device device)
    : device_(std::move(device)) {}

void LineReader::connected(bool may_start_midway) {
    assembler_.restart(may_start_midway);
    std::fill(latest_.begin(), latest_.end(), missing);
}

void LineReader::noteInterval(std::chrono::nanoseconds interval) {
    intervals_.at(interval_count_ % intervals_.size()) = interval;
    ++interval_count_;
    std::array<std::chrono::nanoseconds, 15> sorted = intervals_;
    const auto end = sorted.begin() + static_cast<std::ptrdiff_t>(std::min(interval_count_, sorted.size()));
    const auto middle = sorted.begin() + (end - sorted.begin()) / 2;
    std::nth_element(sorted.begin(), middle, end);
    interval_ = *middle;
}

void LineReader::giveTimes(std::vector<serial::Line>& lines, Moment at) {
    if (lines.empty()) {
        return;
    }
    const auto count = static_cast<std::int64_t>(lines.size());
    if (!last_line_) {
        first_line_ = at;
    }
    const std::optional<Moment> before = std::exchange(last_line_, at);
    std::chrono::nanoseconds step = interval_;
    if (before) {
        const std::chrono::nanoseconds room = at - *before;
        noteInterval(room / count);
        step = std::min(step, room / count);
    }
    for (std::int64_t i = 0; i < count; ++i) {
        lines[static_cast<std::size_t>(i)].came = at - (count - 1 - i) * step;
    }
    lines_ += lines.size();
}

ReadLines LineReader::take(std::string_view bytes, Moment at) {
    ReadLines got;
    std::vector<serial::Line> lines = assembler_.take(bytes, at);
    giveTimes(lines, at);
    if (device_.lines && !decoder_) {
        // A device file was judged when it was read; one that was made up in the program may still be wrong.
        Result<serial::LineDecoder> decoder = serial::LineDecoder::make(*device_.lines);
        if (!decoder) {
            got.not_understood = has_complained_ ? std::nullopt : std::optional(decoder.error());
            has_complained_ = true;
            return got;
        }
        begin({.format = *device_.lines,
               .was_stated = true,
               .in_words = serial::inWords(*device_.lines),
               .lines = {},
               .remarks = {}},
              std::move(*decoder), got);
    }
    for (serial::Line& line : lines) {
        if (decoder_) {
            decode(line, got);
            continue;
        }
        looked_at_.push_back(std::move(line));
        if (looked_at_.size() > most_looked_at) {
            got.refused.push_back({.at = looked_at_.front().came,
                                   .line = std::move(looked_at_.front().text),
                                   .reason = "came before it was known how lines are built"});
            looked_at_.pop_front();
        }
        tryToFind(enough_lines, got);
    }
    return got;
}

ReadLines LineReader::look(Moment now) {
    ReadLines got;
    if (!decoder_ && first_line_ && now - *first_line_ >= patience) {
        tryToFind(1, got);
    }
    return got;
}

ReadLines LineReader::end(Moment now) {
    std::vector<serial::Line> rest = assembler_.rest();
    ReadLines got;
    if (!decoder_) {
        tryToFind(1, got);
    }
    for (serial::Line& line : rest) {
        line.came = std::max(line.came, last_line_.value_or(now));
        if (decoder_) {
            decode(line, got);
        } else {
            looked_at_.push_back(std::move(line));
        }
    }
    if (held_.size() > 1) {
        acceptHeld(got);
    } else {
        refuseHeld(got);
    }
    for (serial::Line& line : looked_at_) {
        got.refused.push_back(
            {.at = line.came, .line = std::move(line.text), .reason = "it is not known how lines are built"});
    }
    looked_at_.clear();
    return got;
}

void LineReader::tryToFind(std::size_t enough, ReadLines& into) {
    std::vector<std::string> texts;
    std::transform(looked_at_.begin(), looked_at_.end(), std::back_inserter(texts),
                   [](const serial::Line& line) { return line.text; });
    Result<serial::FoundFormat> found = serial::findFormat(texts, device_.unit, enough);
    if (!found) {
        const bool is_hopeless = found.error().kind != FaultKind::missing || texts.size() >= many_in_vain;
        if (is_hopeless && !has_complained_ && texts.size() >= enough_lines) {
            has_complained_ = true;
            into.not_understood = found.error();
            into.not_understood->what += "; the last one was \"" + shown(texts.back()) + "\"";
        }
        return;
    }
    Result<serial::LineDecoder> decoder = serial::LineDecoder::make(found->format);
    if (!decoder) {
        into.not_understood = decoder.error();
        return;
    }
    std::vector<std::string> lines;
    std::transform(texts.begin(), texts.end(), std::back_inserter(lines), shown);
    begin({.format = found->format,
           .was_stated = false,
           .in_words = serial::inWords(found->format),
           .lines = std::move(lines),
           .remarks = std::move(found->remarks)},
          std::move(*decoder), into);
}

void LineReader::begin(FormatFound found, serial::LineDecoder decoder, ReadLines& into) {
    if (!found.was_stated) {
        decimals_.emplace();
    }
    into.found = std::move(found);
    decoder_.emplace(std::move(decoder));
    latest_.assign(decoder_->format().columns.size(), missing);
    for (const serial::Line& line : std::exchange(looked_at_, {})) {
        decode(line, into);
    }
}

void LineReader::decode(const serial::Line& line, ReadLines& into) {
    serial::DecodedLine decoded = decoder_->decode(line, interval_);
    switch (decoded.kind) {
    case serial::DecodedLine::Kind::values:
        learnDecimals(decoded);
        take({.at = line.came, .values = std::move(decoded.values), .open = std::move(decoded.open)}, line.text, into);
        break;
    case serial::DecodedLine::Kind::refused:
        into.refused.push_back({.at = line.came, .line = line.text, .reason = std::move(decoded.reason)});
        break;
    case serial::DecodedLine::Kind::passed_over:
        break;
    }
}

void LineReader::learnDecimals(const serial::DecodedLine& line) {
    if (!decimals_ || !decimals_->note(line)) {
        return;
    }
    serial::LineFormat format = decoder_->format();
    decimals_->apply(format);
    if (Result<serial::LineDecoder> stricter = serial::LineDecoder::make(format)) {
        decoder_.emplace(std::move(*stricter));
    }
}

// The columns whose value may be no number that the device meant.
std::vector<std::size_t> LineReader::doubtsOf(const ReadScan& scan) const {
    const std::vector<serial::LineColumn>& columns = decoder_->format().columns;
    std::vector<std::size_t> doubts;
    for (std::size_t i = 0; i < scan.values.size(); ++i) {
        const std::string& unit = columns[i].unit;
        const bool is_temperature = unit == "degC" || unit == "degF" || unit == "K";
        if (is_temperature && serial::looksSpoiled(latest_[i], scan.values[i])) {
            doubts.push_back(i);
        }
    }
    return doubts;
}

void LineReader::accept(ReadScan scan, ReadLines& into) {
    for (std::size_t i = 0; i < scan.values.size(); ++i) {
        latest_[i] = std::isnan(scan.values[i]) ? latest_[i] : scan.values[i];
    }
    into.scans.push_back(std::move(scan));
}

void LineReader::acceptHeld(ReadLines& into) {
    for (Held& held : std::exchange(held_, {})) {
        accept(std::move(held.scan), into);
    }
}

void LineReader::refuseHeld(ReadLines& into) {
    for (Held& held : std::exchange(held_, {})) {
        into.refused.push_back({.at = held.scan.at,
                                .line = std::move(held.line),
                                .reason = decoder_->format().columns[doubts_.front()].name +
                                          ": digits were lost or won on the way, as the lines around it show"});
    }
}

// Whether the values in doubt go on in the next line, rather than those before them.
bool LineReader::bearsOut(const ReadScan& next) const {
    const std::vector<double>& values = held_.back().scan.values;
    return std::all_of(doubts_.begin(), doubts_.end(), [&](std::size_t i) {
        return std::abs(next.values[i] - values[i]) < std::abs(next.values[i] - latest_[i]);
    });
}

void LineReader::take(ReadScan scan, const std::string& line, ReadLines& into) {
    if (!held_.empty() && bearsOut(scan)) {
        held_.push_back({.scan = std::move(scan), .line = line});
        if (held_.size() > lines_that_bear_out) {
            acceptHeld(into);
        }
        return;
    }
    refuseHeld(into);
    doubts_ = doubtsOf(scan);
    if (doubts_.empty()) {
        accept(std::move(scan), into);
    } else {
        held_.push_back({.scan = std::move(scan), .line = line});
    }
}

} // namespace potwatch::session
