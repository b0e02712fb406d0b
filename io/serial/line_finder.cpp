// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/line_finder.h"

#include "io/csv/vocabulary.h"
#include "io/serial/candidates.h"
#include "io/serial/cell.h"
#include "io/serial/line_decoder.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

namespace potwatch::serial {
namespace {

constexpr double least_share = 0.6; // of the lines that must be understood

struct Judged {
    Candidate candidate;
    std::size_t understood = 0;
};

std::optional<Judged> judge(Candidate candidate, const Lines& lines) {
    const Result<LineDecoder> decoder = LineDecoder::make(candidate.format);
    if (!decoder) {
        return std::nullopt;
    }
    Judged judged{.candidate = std::move(candidate)};
    std::size_t looked_at = 0;
    for (const std::string_view line : lines) {
        const bool is_understood = decoder->decode(line).kind == DecodedLine::Kind::values;
        judged.understood += is_understood ? 1 : 0;
        looked_at += judged.understood > 0 ? 1 : 0; // what comes before is a greeting
    }
    const bool is_good = static_cast<double>(judged.understood) >= least_share * static_cast<double>(looked_at);
    return judged.understood > 0 && is_good ? std::optional(std::move(judged)) : std::nullopt;
}

// "23,45": one value or two? Nothing in such lines tells.
bool isAmbiguous(const Candidate& candidate, const Lines& lines) {
    const LineFormat& format = candidate.format;
    if (format.style != LineStyle::fields || format.separator != ',' || format.fields % 2 != 0 ||
        candidate.has_header) {
        return false;
    }
    return std::all_of(lines.begin(), lines.end(), [](std::string_view line) {
        return line.find_first_not_of("0123456789,+- ") == std::string_view::npos;
    });
}

void nameColumns(LineFormat& format) {
    std::set<std::string> taken;
    std::size_t number = 0;
    for (LineColumn& column : format.columns) {
        ++number;
        const std::string wanted = column.name.empty() ? fmt::format("t{}", number) : column.name;
        column.name = wanted;
        for (int again = 2; !taken.insert(column.name).second; ++again) {
            column.name = fmt::format("{}_{}", wanted, again);
        }
    }
}

void takeUnitFor(Candidate& candidate, const std::string& unit) {
    std::size_t count = 0;
    for (LineColumn& column : candidate.format.columns) {
        if (column.unit.empty()) {
            column.unit = unit;
            ++count;
        }
    }
    if (count > 0) {
        candidate.remarks.push_back(fmt::format(
            "no unit is stated{}: taken as {}",
            count < candidate.format.columns.size() ? fmt::format(" for {} of the values", count) : std::string(),
            unit == "degC" ? "°C" : unit));
    }
}

} // namespace

Result<FoundFormat> findFormat(std::span<const std::string> lines, const std::string& unit, std::size_t enough) {
    Lines texts;
    for (const std::string& line : lines) {
        if (whyNoText(line).empty()) {
            texts.push_back(line);
        }
    }
    std::optional<Judged> best;
    for (Candidate& candidate : candidatesFor(texts)) {
        std::optional<Judged> judged = judge(std::move(candidate), texts);
        // The candidates come in the order of how plain they are.
        const auto worth = [](const Judged& of) { return std::pair(of.understood, -of.candidate.unexplained); };
        if (judged && (!best || worth(*judged) > worth(*best))) {
            best = std::move(judged);
        }
    }
    if (!best || best->understood < enough) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = best ? "too few lines have come to tell how they are built"
                                                 : "the lines that come are not understood",
                                    .where = {},
                                    .remedy = "say how they are built in a device file, and name it with --device"});
    }
    Candidate& found = best->candidate;
    if (isAmbiguous(found, texts)) {
        return tl::unexpected(Fault{
            .kind = FaultKind::input,
            .what = fmt::format("\"{}\" can be one number with a decimal comma as well as several", texts.back()),
            .where = {},
            .remedy = "say which in a device file (decimal = \",\" or separator = \",\"), and name it with --device"});
    }
    nameColumns(found.format);
    takeUnitFor(found, unit);
    return FoundFormat{.format = std::move(found.format), .remarks = std::move(found.remarks)};
}

std::string inWords(const LineFormat& format) {
    const std::size_t count = format.columns.size();
    const std::string values = fmt::format("{} {}", count, count == 1 ? "value" : "values");
    const char* const mark = format.decimal == ',' ? "comma" : "point";
    const char* const sum = format.checksum ? ", with a checksum" : "";
    switch (format.style) {
    case LineStyle::fields: {
        const std::string parting = format.separator == ' '    ? "blanks"
                                    : format.separator == '\t' ? "tabs"
                                    : format.separator == ','  ? "commas"
                                    : format.separator == ';'  ? "semicolons"
                                                               : fmt::format("\"{}\"", format.separator);
        return fmt::format("lines of {}, {}decimal {}{}", values,
                           format.fields == 1 ? std::string() : "parted by " + parting + ", ", mark, sum);
    }
    case LineStyle::key_value:
        return fmt::format("lines of {} with their names, decimal {}{}", values, mark, sum);
    case LineStyle::json:
        return fmt::format("JSON lines of {}{}", values, sum);
    case LineStyle::pattern:
        break;
    }
    return fmt::format("lines of {}, found by a pattern, decimal {}{}", values, mark, sum);
}

} // namespace potwatch::serial
