// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/layout.h"

#include "io/csv/column_titles.h"
#include "io/csv/counting.h"
#include "io/csv/dialect.h"
#include "io/csv/vocabulary.h"

#include <fmt/format.h>

#include <algorithm>

namespace potwatch::csv {
namespace {

Fault inputFault(const std::string& file, std::string what, std::string remedy) {
    return {.kind = FaultKind::input,
            .what = std::move(what),
            .where = {.file = file, .line = {}, .column = {}, .channel = {}},
            .remedy = std::move(remedy)};
}

bool holds(const std::vector<std::size_t>& list, std::size_t value) {
    return std::find(list.begin(), list.end(), value) != list.end();
}

bool isRowNumbers(const Head& head, std::size_t c) {
    const std::string& name = head.names[c];
    // In a table without any names whole degrees may climb one by one.
    const bool nameless = isRowNumberName(name) || (trimmed(name).empty() && !head.header_text.empty());
    const bool plain_first = c == 0 && !isTemperatureName(name) && unitInName(name).empty() && head.units[c].empty();
    return isCounter(head.columns[c]) && (nameless || plain_first);
}

std::string unitAsWritten(const Head& head, std::size_t c) {
    std::string_view text = trimmed(head.units[c]);
    if (text.size() >= 2 && (text.front() == '(' || text.front() == '[')) {
        text = trimmed(text.substr(1, text.size() - 2));
    }
    if (std::string unit = unitOf(text); !unit.empty()) {
        return unit;
    }
    if (std::string unit = unitInName(head.names[c]); !unit.empty()) {
        return unit;
    }
    if (std::string unit = unitOf(head.columns[c].cell_unit); !unit.empty()) {
        return unit;
    }
    constexpr std::size_t longest_unit = 12;
    return text.size() <= longest_unit && text != "-" ? std::string{text} : std::string{};
}

std::string statedUnit(const Head& head, std::size_t c) {
    std::string unit = unitAsWritten(head, c);
    return unit == "degC" && isDirectionName(head.names[c]) ? std::string("deg") : unit;
}

// Which columns are read as values, in which order.
Result<std::vector<ColumnPlan>> chooseColumns(const Head& head, const ClockChoice& clock, const ImportOptions& options,
                                              const std::string& file, std::vector<std::string>& notes) {
    std::vector<ColumnPlan> columns;
    const auto plan = [&head](std::size_t c, bool wanted) {
        return ColumnPlan{.index = c,
                          .name = head.names[c],
                          .unit = statedUnit(head, c),
                          .cell_unit = head.columns[c].cell_unit,
                          .decimal = head.columns[c].decimal,
                          .wanted_by_person = wanted};
    };
    for (const std::string& said : options.columns) {
        const std::optional<std::size_t> c = columnMeant(said, head.names);
        if (!c) {
            return tl::unexpected(
                inputFault(file, fmt::format("no column \"{}\"", said),
                           fmt::format("the columns are {}: name some with --columns, or give their numbers",
                                       columnList(head.names))));
        }
        const bool twice =
            std::any_of(columns.begin(), columns.end(), [c](const ColumnPlan& other) { return other.index == *c; });
        if (!twice) {
            columns.push_back(plan(*c, true));
        }
    }
    if (!columns.empty()) {
        return columns;
    }
    for (std::size_t c = 0; c < head.columns.size(); ++c) {
        if (holds(clock.plan.columns, c)) {
            continue;
        }
        if (holds(clock.other_clocks, c)) {
            notes.push_back(fmt::format("{} tells the time as well: left out", columnTitle(head.names, c)));
        } else if (isRowNumbers(head, c)) {
            notes.push_back(fmt::format("{} counts the rows: left out", columnTitle(head.names, c)));
        } else {
            columns.push_back(plan(c, false));
        }
    }
    return columns;
}

// The unit that the person says overrules that of temperatures; where the names tell of none, it goes to every column
// without a unit. A temperature without any unit is taken as °C, in the open.
void settleUnits(std::vector<ColumnPlan>& columns, const std::string& said, std::vector<std::string>& notes) {
    const auto isTemperature = [](const ColumnPlan& column) {
        return isTemperatureUnit(column.unit) || (column.unit.empty() && isTemperatureName(column.name));
    };
    const bool any = std::any_of(columns.begin(), columns.end(), isTemperature);
    for (ColumnPlan& column : columns) {
        if (!said.empty()) {
            column.unit = isTemperature(column) || (!any && column.unit.empty()) ? said : column.unit;
        } else if (column.unit.empty() && isTemperatureName(column.name)) {
            column.unit = "degC";
            notes.push_back(fmt::format("the unit of \"{}\" is not stated: taken as °C; --unit says otherwise",
                                        excerpt(trimmed(column.name), Encoding::utf8)));
        }
    }
}

} // namespace

Result<Layout> findLayout(std::string_view sample, Encoding encoding, const ImportOptions& options,
                          const std::string& file) {
    const std::string unit = unitOf(options.unit);
    if (!options.unit.empty() && !isTemperatureUnit(unit) && unit != "mV") {
        return tl::unexpected(inputFault(file, fmt::format("\"{}\" is no unit of temperature", options.unit),
                                         "use degC, degF, K or mV with --unit"));
    }
    const DialectFinding finding = findDialect(sample, statedDelimiter(sample));
    const std::vector<SampleRow> rows = splitSample(sample, finding.dialect.delimiter);
    std::optional<Head> head = findHead(rows, finding.width, finding.dialect, encoding);
    if (!head) {
        return tl::unexpected(inputFault(file, "no row of numbers in it",
                                         "a table needs a column of times and a column of values, one row a line"));
    }
    Result<ClockChoice> clock = chooseClock(*head, options, file);
    if (!clock) {
        return tl::unexpected(std::move(clock.error()));
    }
    Layout layout;
    layout.notes = clock->notes;
    Result<std::vector<ColumnPlan>> columns = chooseColumns(*head, *clock, options, file, layout.notes);
    if (!columns) {
        return tl::unexpected(std::move(columns.error()));
    }
    settleUnits(*columns, unit, layout.notes);
    if (columns->empty()) {
        return tl::unexpected(inputFault(file, fmt::format("no column of values among {}", columnList(head->names)),
                                         "a table needs a column of times and a column of values"));
    }
    layout.encoding = encoding;
    layout.dialect = finding.dialect;
    layout.width = head->names.size();
    layout.lines_above = rows[head->first_row].line - 1;
    layout.header_text = head->header_text;
    layout.clock = std::move(clock->plan);
    layout.names = std::move(head->names);
    layout.columns = std::move(*columns);
    return layout;
}

} // namespace potwatch::csv
