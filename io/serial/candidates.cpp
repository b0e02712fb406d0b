// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/candidates.h"

#include "io/csv/encoding.h"
#include "io/csv/vocabulary.h"
#include "io/serial/cell.h"
#include "io/serial/json_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

namespace potwatch::serial {
namespace {

constexpr double least_share = 0.6; // of the rows in which a part must be a value to count as one
constexpr double no_temperature = 3000.0;

// All that stands at one place of the lines.
struct Part {
    std::vector<std::string_view> texts;
    std::vector<Cell> cells;

    [[nodiscard]] std::size_t count(bool (*is)(const Cell&)) const {
        return static_cast<std::size_t>(std::count_if(cells.begin(), cells.end(), is));
    }
    [[nodiscard]] std::size_t numbers() const {
        return count([](const Cell& cell) { return cell.wrong.empty() && cell.open.empty(); });
    }
    [[nodiscard]] bool isValue() const {
        const std::size_t understood = count([](const Cell& cell) { return cell.wrong.empty(); });
        return numbers() > 0 && static_cast<double>(understood) >= least_share * static_cast<double>(cells.size());
    }
    [[nodiscard]] std::string_view constantText() const {
        const bool is_constant = std::all_of(texts.begin(), texts.end(), [&](auto text) { return text == texts[0]; });
        return is_constant && !texts.empty() ? texts[0] : std::string_view();
    }
};

bool isNumber(const Cell& cell) {
    return cell.wrong.empty() && cell.open.empty();
}

// "12:03:11", "2026-03-14", "2026-03-14T12:03:11Z"
bool looksLikeAClock(std::string_view text) {
    const std::string_view marks = ":-/.";
    const auto count =
        std::count_if(text.begin(), text.end(), [&](char c) { return marks.find(c) != std::string::npos; });
    return count >= 2 && text.find_first_not_of("0123456789:-/.TZ+ ") == std::string_view::npos;
}

// 1, 2, 3 ..., or milliseconds since some start: it rises with every line and is no temperature.
bool countsLines(const Part& part) {
    std::optional<double> last;
    bool is_large = false;
    bool is_one_by_one = true;
    std::size_t numbers = 0;
    for (const Cell& cell : part.cells) {
        if (!isNumber(cell) || !cell.unit.empty()) {
            continue;
        }
        if (cell.decimals.value_or(1) != 0 || (last && cell.value <= *last)) {
            return false;
        }
        is_one_by_one = is_one_by_one && (last ? cell.value == *last + 1.0 : cell.value <= 1.0);
        is_large = is_large || cell.value > no_temperature;
        last = cell.value;
        ++numbers;
    }
    return numbers >= 3 && (is_large || is_one_by_one);
}

// The unit that stands behind the numbers, and whether it always or never does.
void takeUnitInLine(const Part& part, LineColumn& column) {
    std::size_t with_unit = 0;
    for (const Cell& cell : part.cells) {
        if (isNumber(cell) && !cell.unit.empty()) {
            ++with_unit;
            column.unit = cell.unit;
        }
    }
    if (with_unit == 0 || with_unit == part.numbers()) {
        column.unit_follows = with_unit > 0;
    }
}

std::string nameOf(std::string_view text) {
    return csv::toUtf8(text, whyNoText(text).empty() && text.find('\xB0') == std::string_view::npos
                                 ? csv::Encoding::utf8
                                 : csv::Encoding::latin1);
}

using Row = std::vector<std::string_view>;

// The number of parts that most of the lines with a number have; 0 where none has a number.
std::size_t usualSize(const std::vector<Row>& rows, char decimal) {
    std::map<std::size_t, std::size_t> sizes;
    for (const Row& row : rows) {
        if (std::any_of(row.begin(), row.end(), [&](auto text) { return isNumber(readCell(text, decimal, {})); })) {
            ++sizes[row.size()];
        }
    }
    const auto most =
        std::max_element(sizes.begin(), sizes.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    return most == sizes.end() ? 0 : most->first;
}

// The lines of that size, apart: those that hold values, and the last ones before them that hold none.
struct Sorted {
    std::vector<Row> data;
    Row header;
    Row units;
};

Row withoutMark(Row row) {
    if (!row.empty() && row[0].starts_with('#')) {
        row[0] = trimmed(row[0].substr(1));
    }
    return row;
}

Sorted sorted(const Lines& lines, char separator, char decimal) {
    std::vector<Row> rows;
    for (const std::string_view line : lines) {
        // "# T1 T2" has as many names as the lines have values.
        rows.push_back(parted(line.starts_with('#') ? trimmed(line.substr(1)) : line, separator));
    }
    const std::size_t size = usualSize(rows, decimal);
    Sorted sorted;
    if (size == 0) {
        return sorted;
    }
    for (Row& row : rows) {
        if (row.size() != size) {
            continue;
        }
        const bool has_number =
            std::any_of(row.begin(), row.end(), [&](auto text) { return isNumber(readCell(text, decimal, {})); });
        if (has_number) {
            sorted.data.push_back(std::move(row));
        } else if (sorted.data.empty()) {
            const bool are_units = !sorted.header.empty() &&
                                   std::all_of(row.begin(), row.end(), [](auto text) { return csv::isUnitCell(text); });
            (are_units ? sorted.units : sorted.header) = withoutMark(std::move(row));
        }
    }
    return sorted;
}

std::optional<Candidate> fieldsCandidate(const Lines& lines, char separator, char decimal) {
    const Sorted rows = sorted(lines, separator, decimal);
    if (rows.data.empty()) {
        return std::nullopt;
    }
    const std::size_t size = rows.data.front().size();
    Candidate candidate;
    candidate.format = {.style = LineStyle::fields, .separator = separator, .decimal = decimal, .fields = size};
    candidate.has_header = !rows.header.empty();
    std::string label;
    for (std::size_t i = 0; i < size; ++i) {
        Part part;
        for (const Row& row : rows.data) {
            part.texts.push_back(row[i]);
            part.cells.push_back(readCell(row[i], decimal, {}));
        }
        const std::string title = rows.header.empty() ? std::string() : nameOf(rows.header[i]);
        if (!part.isValue()) {
            const std::string_view constant = part.constantText();
            const std::string unit = csv::unitOf(constant);
            std::vector<LineColumn>& columns = candidate.format.columns;
            if (!unit.empty() && !columns.empty() && columns.back().field == i) {
                columns.back().unit = unit; // 23.4 C 24.1 C
            } else if (!constant.empty() && constant.find_first_of("0123456789,.;|") != 0) {
                label = nameOf(constant); // T1 23.4 T2 24.1
            } else if (!std::all_of(part.texts.begin(), part.texts.end(), looksLikeAClock)) {
                ++candidate.unexplained;
            }
            continue;
        }
        const bool is_clock = !title.empty() && (csv::isTimeName(title) || csv::isRowNumberName(title));
        if (size > 1 && (is_clock || (title.empty() && i == 0 && countsLines(part)))) {
            candidate.remarks.push_back(fmt::format("value {} of each line{} counts time or lines: not recorded", i + 1,
                                                    title.empty() ? "" : " (" + title + ")"));
            continue;
        }
        LineColumn column{.field = i + 1,
                          .key = {},
                          .name = title.empty() ? label : title,
                          .unit = {},
                          .decimals = {},
                          .unit_follows = {}};
        takeUnitInLine(part, column);
        if (column.unit.empty() && !rows.units.empty()) {
            column.unit = csv::unitOf(rows.units[i]);
        }
        if (column.unit.empty()) {
            column.unit = csv::unitInName(column.name);
        }
        candidate.format.columns.push_back(std::move(column));
        label.clear();
    }
    // "23,4 °C" is one value, not two of which one has a unit.
    const auto has_unit = [](const LineColumn& column) { return column.unit_follows.value_or(true); };
    const auto with_unit = std::count_if(candidate.format.columns.begin(), candidate.format.columns.end(), has_unit);
    if (with_unit > 0 && !candidate.has_header) {
        candidate.unexplained += static_cast<int>(candidate.format.columns.size()) - static_cast<int>(with_unit);
    }
    return candidate.format.columns.empty() ? std::nullopt : std::optional(std::move(candidate));
}

// Values that go by a name: gathered from all lines, in the order in which the names first come.
class Named {
public:
    void add(std::string_view key, std::string_view text, Cell cell) {
        const auto found = std::find_if(parts_.begin(), parts_.end(), [&](const auto& p) { return p.first == key; });
        Part& part = found == parts_.end() ? parts_.emplace_back(std::string(key), Part()).second : found->second;
        part.texts.push_back(text);
        part.cells.push_back(std::move(cell));
    }

    // The columns of those names that most of the lines have.
    void columnsInto(Candidate& candidate, std::size_t lines, const std::string& unit_of_all) const {
        for (const auto& [key, part] : parts_) {
            if (!part.isValue() || static_cast<double>(part.cells.size()) < least_share * static_cast<double>(lines)) {
                continue;
            }
            if (csv::isTimeName(key) || (csv::isRowNumberName(key) && countsLines(part))) {
                candidate.remarks.push_back(fmt::format("\"{}\" counts time or lines: not recorded", key));
                continue;
            }
            LineColumn column{
                .field = 0, .key = key, .name = nameOf(key), .unit = {}, .decimals = {}, .unit_follows = {}};
            takeUnitInLine(part, column);
            if (column.unit.empty()) {
                column.unit = csv::unitInName(key);
            }
            if (column.unit.empty()) {
                column.unit = unit_of_all;
            }
            candidate.format.columns.push_back(std::move(column));
        }
    }

private:
    std::vector<std::pair<std::string, Part>> parts_;
};

std::optional<Candidate> pairsCandidate(const Lines& lines, char decimal) {
    Named named;
    std::size_t count = 0;
    for (const std::string_view line : lines) {
        const std::vector<Pair> pairs = pairsOf(line, decimal);
        count += pairs.empty() ? 0 : 1;
        for (const Pair& pair : pairs) {
            named.add(pair.key, pair.value, readCell(pair.value, decimal, {}));
        }
    }
    Candidate candidate;
    candidate.format = {.style = LineStyle::key_value, .decimal = decimal};
    named.columnsInto(candidate, count, {});
    return candidate.format.columns.empty() ? std::nullopt : std::optional(std::move(candidate));
}

std::optional<Candidate> jsonCandidate(const Lines& lines) {
    Named named;
    std::size_t count = 0;
    std::string unit;
    for (const std::string_view line : lines) {
        const auto members = jsonMembers(line);
        count += members ? 1 : 0;
        for (const JsonMember& member : members.value_or(std::vector<JsonMember>())) {
            const bool is_unit = csv::lowercased(member.name).starts_with("unit");
            unit = is_unit ? csv::unitOf(member.text) : unit;
            named.add(member.name, {},
                      member.number ? Cell{.value = *member.number, .decimals = {}} : readCell(member.text, '.', {}));
        }
    }
    Candidate candidate;
    candidate.format = {.style = LineStyle::json};
    named.columnsInto(candidate, count, unit);
    for (LineColumn& column : candidate.format.columns) {
        column.unit_follows.reset();
    }
    return candidate.format.columns.empty() ? std::nullopt : std::optional(std::move(candidate));
}

} // namespace

std::vector<Candidate> candidatesFor(const Lines& lines) {
    // A checksum that is right on most lines is no chance.
    Lines contents;
    for (const std::string_view line : lines) {
        if (const auto content = withoutChecksum(line)) {
            contents.push_back(*content);
        }
    }
    const bool has_checksum =
        !contents.empty() && static_cast<double>(contents.size()) >= least_share * static_cast<double>(lines.size());
    const Lines& looked_at = has_checksum ? contents : lines;
    std::vector<Candidate> candidates;
    const auto keep = [&](std::optional<Candidate> candidate) {
        if (candidate) {
            candidate->format.checksum = has_checksum;
            candidates.push_back(std::move(*candidate));
        }
    };
    keep(jsonCandidate(looked_at));
    if (!candidates.empty()) {
        return candidates;
    }
    for (const char decimal : {'.', ','}) {
        keep(pairsCandidate(looked_at, decimal));
    }
    if (!candidates.empty()) {
        return candidates;
    }
    for (const char separator : {',', ';', '\t', '|', ' '}) {
        for (const char decimal : {'.', ','}) {
            if (separator != decimal) {
                keep(fieldsCandidate(looked_at, separator, decimal));
            }
        }
    }
    return candidates;
}

} // namespace potwatch::serial
