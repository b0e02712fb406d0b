// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/line_decoder.h"

#include "io/csv/encoding.h"
#include "io/serial/cell.h"
#include "io/serial/json_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <regex>
#include <utility>

namespace potwatch::serial {
namespace {

// An adapter delivers every 16 ms at the most, but a busy computer may look later. At a pace at which this is longer
// than a line takes, the parts of two lines show by what they say.
constexpr std::chrono::milliseconds shortest_pause{200};

Fault badFormat(std::string what, std::string remedy) {
    return {.kind = FaultKind::input, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

std::string shown(std::string_view text) {
    return csv::excerpt(text, csv::Encoding::latin1);
}

DecodedLine refused(std::string reason) {
    return {.kind = DecodedLine::Kind::refused, .values = {}, .open = {}, .reason = std::move(reason)};
}

// The text at the place of each column, or why the line has not all of them.
struct Places {
    std::vector<std::string_view> texts;
    std::string wrong;
};

} // namespace

struct LineDecoder::Parts {
    LineFormat format;
    std::optional<std::regex> pattern;

    [[nodiscard]] Places inFields(std::string_view line) const {
        const std::vector<std::string_view> fields = parted(line, format.separator);
        if (format.fields != 0 && fields.size() != format.fields) {
            return {.texts = {}, .wrong = fmt::format("has {} values, not {}", fields.size(), format.fields)};
        }
        Places places;
        for (const LineColumn& column : format.columns) {
            if (column.field > fields.size()) {
                return {.texts = {}, .wrong = fmt::format("has no value {}", column.field)};
            }
            places.texts.push_back(fields[column.field - 1]);
        }
        return places;
    }

    [[nodiscard]] Places inPairs(std::string_view line) const {
        const std::vector<Pair> pairs = pairsOf(line, format.decimal);
        Places places;
        for (const LineColumn& column : format.columns) {
            const auto is_it = [&](const Pair& pair) { return pair.key == column.key; };
            const auto count = std::count_if(pairs.begin(), pairs.end(), is_it);
            if (count != 1) {
                return {.texts = {},
                        .wrong = fmt::format("has {} \"{}\"", count == 0 ? "no" : "more than one", column.key)};
            }
            places.texts.push_back(std::find_if(pairs.begin(), pairs.end(), is_it)->value);
        }
        return places;
    }

    [[nodiscard]] Places inPattern(std::string_view line) const {
        std::match_results<std::string_view::const_iterator> match;
        try {
            if (!std::regex_match(line.begin(), line.end(), match, *pattern)) {
                return {.texts = {}, .wrong = "does not match the pattern"};
            }
        } catch (const std::regex_error&) {
            return {.texts = {}, .wrong = "is too much for the pattern"};
        }
        Places places;
        for (const LineColumn& column : format.columns) {
            const auto& group = match[column.field];
            places.texts.push_back(group.matched ? std::string_view(group.first, group.second) : std::string_view());
        }
        return places;
    }

    [[nodiscard]] DecodedLine inText(const Places& places) const {
        if (!places.wrong.empty()) {
            return refused(places.wrong);
        }
        DecodedLine decoded{.kind = DecodedLine::Kind::values, .values = {}, .open = {}, .reason = {}};
        for (std::size_t i = 0; i < format.columns.size(); ++i) {
            const LineColumn& column = format.columns[i];
            Cell cell = readCell(places.texts[i], format.decimal, format.open_words);
            if (cell.wrong.empty() && cell.open.empty() && !isOpenValue(cell.value)) {
                cell.wrong = objectionTo(cell, column);
            }
            if (!cell.wrong.empty()) {
                return refused(fmt::format("{}: \"{}\" {}", column.name, shown(places.texts[i]), cell.wrong));
            }
            take(cell, decoded);
            decoded.decimals.push_back(cell.open.empty() ? cell.decimals : std::nullopt);
            decoded.ends_in_zero = decoded.ends_in_zero || cell.ends_in_zero;
        }
        return decoded;
    }

    [[nodiscard]] DecodedLine inJson(std::string_view line) const {
        const std::optional<std::vector<JsonMember>> members = jsonMembers(line);
        if (!members) {
            return refused("is no JSON object");
        }
        DecodedLine decoded{.kind = DecodedLine::Kind::values, .values = {}, .open = {}, .reason = {}};
        for (const LineColumn& column : format.columns) {
            const auto found = std::find_if(members->begin(), members->end(),
                                            [&](const JsonMember& member) { return member.name == column.key; });
            if (found == members->end()) {
                return refused(fmt::format("has no \"{}\"", column.key));
            }
            Cell cell = found->number ? Cell{.value = *found->number}
                                      : readCell(found->text, format.decimal, format.open_words);
            if (cell.wrong.empty() && cell.open.empty() && !isOpenValue(cell.value)) {
                LineColumn loose = column;
                loose.decimals.reset(); // a JSON number has no fixed digits
                loose.unit_follows.reset();
                cell.wrong = objectionTo(cell, loose);
            }
            if (!cell.wrong.empty()) {
                return refused(fmt::format("{}: {}", column.name, cell.wrong));
            }
            take(cell, decoded);
        }
        return decoded;
    }

    [[nodiscard]] bool isOpenValue(double value) const {
        return std::find(format.open_values.begin(), format.open_values.end(), value) != format.open_values.end();
    }

    void take(const Cell& cell, DecodedLine& decoded) const {
        const bool is_open_number = cell.open.empty() && isOpenValue(cell.value);
        decoded.values.push_back(is_open_number ? std::numeric_limits<double>::quiet_NaN() : cell.value);
        decoded.open.push_back(is_open_number ? fmt::format("{}", cell.value) : cell.open);
    }

    // The names of the columns, where they stand in a line as they stood in the header.
    [[nodiscard]] bool isHeader(std::string_view line) const {
        if (format.style != LineStyle::fields) {
            return false;
        }
        const std::vector<std::string_view> fields = parted(line, format.separator);
        return std::all_of(format.columns.begin(), format.columns.end(), [&](const LineColumn& column) {
            return column.field <= fields.size() && !column.name.empty() &&
                   fields[column.field - 1].find(column.name) != std::string_view::npos;
        });
    }
};

LineDecoder::LineDecoder(std::unique_ptr<Parts> parts)
    : parts_(std::move(parts)) {}
LineDecoder::LineDecoder(LineDecoder&&) noexcept = default;
LineDecoder& LineDecoder::operator=(LineDecoder&&) noexcept = default;
LineDecoder::~LineDecoder() = default;

const LineFormat& LineDecoder::format() const {
    return parts_->format;
}

Result<LineDecoder> LineDecoder::make(const LineFormat& format) {
    auto parts = std::make_unique<Parts>(Parts{.format = format, .pattern = {}});
    if (format.columns.empty()) {
        return tl::unexpected(badFormat("no column is stated", "state at least one [[column]]"));
    }
    const bool by_name = format.style == LineStyle::key_value || format.style == LineStyle::json;
    for (const LineColumn& column : format.columns) {
        if (by_name ? column.key.empty() : column.field == 0) {
            return tl::unexpected(badFormat(fmt::format("it is not stated where column \"{}\" stands", column.name),
                                            by_name ? "state its key" : "state its field, counted from 1"));
        }
    }
    if (format.style == LineStyle::pattern) {
        try {
            parts->pattern.emplace(format.pattern, std::regex::ECMAScript | std::regex::optimize);
        } catch (const std::regex_error&) {
            return tl::unexpected(
                badFormat(fmt::format("the pattern \"{}\" is no regular expression", shown(format.pattern)),
                          "look for a bracket that is not closed"));
        }
        for (const LineColumn& column : format.columns) {
            if (column.field > parts->pattern->mark_count()) {
                return tl::unexpected(badFormat(fmt::format("the pattern has {} groups, but column \"{}\" is group {}",
                                                            parts->pattern->mark_count(), column.name, column.field),
                                                "put what is the value in (round brackets)"));
            }
        }
    }
    return LineDecoder(std::move(parts));
}

DecodedLine LineDecoder::decode(std::string_view line) const {
    if (std::string wrong = whyNoText(line); !wrong.empty()) {
        return refused(std::move(wrong));
    }
    if (parts_->isHeader(line)) {
        return {.kind = DecodedLine::Kind::passed_over, .values = {}, .open = {}, .reason = {}};
    }
    if (parts_->format.checksum) {
        const std::optional<std::string_view> content = withoutChecksum(line);
        if (!content) {
            return refused("its checksum is missing or wrong");
        }
        line = *content;
    }
    switch (parts_->format.style) {
    case LineStyle::fields:
        return parts_->inText(parts_->inFields(line));
    case LineStyle::key_value:
        return parts_->inText(parts_->inPairs(line));
    case LineStyle::pattern:
        return parts_->inText(parts_->inPattern(line));
    case LineStyle::json:
        break;
    }
    return parts_->inJson(line);
}

DecodedLine LineDecoder::decode(const Line& line, std::chrono::nanoseconds interval) const {
    if (line.is_too_long) {
        return refused(fmt::format("is longer than {} bytes", longest_line));
    }
    if (!line.has_end) {
        return refused("has no end: it may be cut off");
    }
    if (interval.count() > 0 && line.pause > shortest_pause && line.pause > interval / 2) {
        return refused(fmt::format("was interrupted for {:.2f} s: it is the start of one line and the end of another",
                                   std::chrono::duration<double>(line.pause).count()));
    }
    return decode(line.text);
}

} // namespace potwatch::serial
