// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/dialect.h"

#include "io/csv/sample.h"
#include "io/csv/vocabulary.h"

#include <algorithm>
#include <array>
#include <map>

namespace potwatch::csv {
namespace {

// Rows that are enough to tell one delimiter from another.
constexpr std::size_t rows_looked_at = 400;

struct Score {
    double points = 0.0;
    std::size_t width = 0;
    std::size_t decimal_points = 0;
    std::size_t decimal_commas = 0;
};

// Cells that are read, weighed by how pure their row is: a wrong delimiter leaves numbers glued to their neighbours.
Score score(const std::vector<SampleRow>& rows, char delimiter) {
    std::map<std::size_t, Score> by_width;
    std::size_t looked_at = 0;
    for (const SampleRow& row : rows) {
        if (row.comment || row.cells.size() < 2) {
            continue;
        }
        if (++looked_at > rows_looked_at) {
            break;
        }
        double good = 0.0;
        double bad = 0.0;
        // A trailing delimiter that only some rows have makes no other width.
        const std::size_t width = row.cells.size();
        Score& sum = by_width[width];
        for (const Cell& cell : row.cells) {
            const CellKind with_point = kindOf(cell.text, '.');
            const bool may_be_comma = delimiter != ',' || (cell.quoted && !looksLikeThousands(cell.text));
            const CellKind with_comma = may_be_comma ? kindOf(cell.text, ',') : CellKind::text;
            if (with_point == CellKind::missing) {
                continue;
            }
            if (with_point == CellKind::text && with_comma == CellKind::text) {
                bad += 1.0;
                continue;
            }
            good += 1.0;
            sum.decimal_points += with_point == CellKind::number && with_comma != CellKind::number ? 1 : 0;
            sum.decimal_commas += with_comma == CellKind::number && with_point != CellKind::number ? 1 : 0;
        }
        if (good > 0.0) {
            const double purity = good / (good + bad);
            sum.points += good * purity * purity;
        }
    }
    Score best;
    std::size_t points = 0;
    std::size_t commas = 0;
    double total = 0.0;
    for (auto& [width, sum] : by_width) {
        sum.width = width;
        points += sum.decimal_points;
        commas += sum.decimal_commas;
        total += sum.points;
        if (sum.points >= best.points) {
            best = sum;
        }
    }
    best.points =
        total > 0.0 ? best.points * best.points / total : 0.0; // one width all through is worth more than many
    best.decimal_points = points;
    best.decimal_commas = commas;
    return best;
}

} // namespace

DialectFinding findDialect(std::string_view sample, std::optional<char> stated) {
    DialectFinding finding{.dialect = {.delimiter = stated.value_or(','), .decimal = '.'}, .width = 1};
    double best = 0.0;
    for (const char delimiter : {'\t', ';', ',', '|', ' '}) {
        if (stated && *stated != delimiter) {
            continue;
        }
        Score found = score(splitSample(sample, delimiter), delimiter);
        if (delimiter == ' ') {
            found.points *= 0.5; // a blank within "2021-08-26 10:00" must not outweigh the tab beside it
        }
        if (found.points > best) {
            best = found.points;
            finding = {
                .dialect = {.delimiter = delimiter, .decimal = found.decimal_commas > found.decimal_points ? ',' : '.'},
                .width = found.width};
        }
    }
    if (finding.width <= 1) {
        // One column: its decimal mark is still of interest.
        for (const SampleRow& row : splitSample(sample, '\t')) {
            const std::string_view cell = row.cells.empty() ? std::string_view{} : row.cells.front().text;
            if (!row.comment && cell.find(',') != std::string_view::npos && kindOf(cell, ',') == CellKind::number) {
                return {.dialect = {.delimiter = stated.value_or(';'), .decimal = ','}, .width = 1};
            }
        }
    }
    return finding;
}

std::optional<char> statedDelimiter(std::string_view sample) {
    std::string_view line = trimmed(sample.substr(0, sample.find('\n')));
    if (line.size() >= 2 && line.front() == '"' && line.back() == '"') {
        line = line.substr(1, line.size() - 2);
    }
    // "sep=" and a tab loses its tab to trimming.
    if (lowercased(line.substr(0, 4)) != "sep=" || line.size() > 5) {
        return std::nullopt;
    }
    const char c = line.size() == 5 ? line.back() : '\t';
    static constexpr std::array<char, 5> known{',', ';', '\t', '|', ' '};
    return std::find(known.begin(), known.end(), c) != known.end() ? std::optional{c} : std::nullopt;
}

std::string delimiterName(char delimiter) {
    switch (delimiter) {
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case ' ':
        return "space";
    case '|':
        return "pipe";
    default:
        return "comma";
    }
}

std::string decimalName(char decimal) {
    return decimal == ',' ? "comma" : "point";
}

} // namespace potwatch::csv
