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

// Whether all numbers are printed with a fixed number of decimals: they have as many, and some end in a zero that
// another program would have left out.
void fixDecimals(LineFormat& format, const Lines& lines) {
    std::vector<std::optional<int>> decimals(format.columns.size());
    std::vector<bool> same(format.columns.size(), true);
    bool has_zero = false;
    std::size_t rows = 0;
    for (const std::string_view whole : lines) {
        const std::string_view line = format.checksum ? withoutChecksum(whole).value_or(whole) : whole;
        const std::vector<std::string_view> fields = parted(line, format.separator);
        if (fields.size() != format.fields) {
            continue;
        }
        ++rows;
        for (std::size_t i = 0; i < format.columns.size(); ++i) {
            const std::string_view text = fields[format.columns[i].field - 1];
            const Cell cell = readCell(text, format.decimal, {});
            if (cell.wrong.empty() && cell.open.empty()) {
                same[i] = same[i] && cell.decimals.value_or(0) > 0 && (!decimals[i] || decimals[i] == cell.decimals);
                decimals[i] = cell.decimals;
                const std::size_t last_digit = text.find_last_of("0123456789");
                has_zero = has_zero || (last_digit != std::string_view::npos && text[last_digit] == '0');
            }
        }
    }
    constexpr std::size_t enough_rows = 3;
    for (std::size_t i = 0; i < format.columns.size() && has_zero && rows >= enough_rows; ++i) {
        if (same[i] && decimals[i]) {
            format.columns[i].decimals = decimals[i];
        }
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
    if (found.format.style == LineStyle::fields) {
        fixDecimals(found.format, texts);
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
