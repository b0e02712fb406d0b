// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/compare_text.h"

#include "app/cli/compare_output.h"
#include "app/cli/output.h"
#include "app/cli/text_table.h"
#include "app/format/number.h"
#include "app/format/text.h"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr std::size_t indent = 4;
constexpr std::size_t text_width = 78;
constexpr std::size_t between_columns = 2;

std::string note(const std::string& sentence) {
    return "  " + wrapped(sentence, indent, text_width) + "\n";
}

// A column with its heading over two lines, name and unit.
struct Column {
    std::vector<std::string> cells;
    std::size_t width = 0;
};

Column column(std::vector<std::string> cells) {
    Column made{.cells = std::move(cells), .width = 0};
    for (const std::string& cell : made.cells) {
        made.width = std::max(made.width, columnsOf(cell));
    }
    return made;
}

// As many columns beside the runs' names as a terminal holds, then the next ones under them.
std::string tables(const session::Comparison& comparison) {
    std::vector<std::string> names{"run", ""};
    for (const std::string& name : comparison.names) {
        names.push_back(format::oneLine(name));
    }
    const Column first = column(names);
    std::vector<Column> columns;
    for (std::size_t j = 0; j < comparison.columns.size(); ++j) {
        const compare::Figure& figure = *comparison.columns[j];
        if (!figure.shown && &figure != comparison.x && &figure != comparison.y) {
            continue;
        }
        std::vector<std::string> cells{std::string(figure.title), std::string(figure.unit)};
        for (const auto& row : comparison.table) {
            cells.push_back(format::cellText(row[j]));
        }
        columns.push_back(column(std::move(cells)));
    }
    std::string text;
    for (std::size_t j = 0; j < columns.size();) {
        std::vector<std::vector<std::string>> rows;
        for (const std::string& cell : first.cells) {
            rows.push_back({cell});
        }
        std::size_t width = between_columns + first.width;
        const std::size_t begin = j;
        while (j < columns.size() && (j == begin || width + between_columns + columns[j].width <= text_width)) {
            for (std::size_t i = 0; i < rows.size(); ++i) {
                rows[i].push_back(columns[j].cells[i]);
            }
            width += between_columns + columns[j].width;
            ++j;
        }
        text += (text.empty() ? "" : "\n") + tableText(rows);
    }
    return text;
}

} // namespace

std::string compareText(const session::Comparison& comparison) {
    const format::TrendNames names{.x = comparison.x, .y = comparison.y};
    std::string text = format::countText(comparison.names.size(), "run", "runs") + "\n\n" + tables(comparison) + "\n";
    if (comparison.trend) {
        text += note(format::trendText(*comparison.trend, names));
        text += note(format::choiceText(*comparison.trend));
        text += note(format::misfitText(*comparison.trend, names));
    } else {
        text += note("no trend: " + comparison.no_trend);
    }
    if (comparison.at_limit) {
        text += note(format::atLimitText(*comparison.at_limit, names));
    } else if (!comparison.no_limit.empty()) {
        text += note("the limit: " + comparison.no_limit);
    }
    if (comparison.next) {
        text += "\n" + note(format::nextText(*comparison.next, *comparison.request.limit, names));
    }
    text += comparison.warnings.empty() ? "" : "\n";
    for (const std::string& warning : comparison.warnings) {
        text += note("! " + warning);
    }
    return text + "\n  ± is half of the interval that holds the value with 95 % confidence.\n";
}

} // namespace potwatch::cli
