// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/session/open.h"
#include "app/session/preview.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t listed_in_text = 10; // of each kind of fault; JSON lists them all

struct Wanted {
    std::vector<std::string> files;
    csv::ImportOptions import;
    bool json = false;
};

// From the first kept row to the latest.
double span(const std::vector<double>& time_s) {
    return time_s.empty() ? 0.0 : *std::max_element(time_s.begin(), time_s.end()) - time_s.front();
}

Json jsonOf(const std::optional<double>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Json jsonOf(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

Json jsonOf(const std::vector<csv::Refusal>& refusals) {
    Json list = Json::array();
    for (const csv::Refusal& refusal : refusals) {
        list.push_back(Json{{"line", refusal.line}, {"reason", refusal.reason}});
    }
    return list;
}

Json jsonOf(const std::string& file, const csv::Table& table) {
    Json columns = Json::array();
    for (std::size_t i = 0; i < table.channels.size(); ++i) {
        const csv::ColumnSummary& summary = table.summaries[i];
        columns.push_back(Json{{"name", jsonOf(table.channels[i].name)},
                               {"unit", jsonOf(table.channels[i].unit)},
                               {"kept", summary.kept},
                               {"min", jsonOf(summary.min)},
                               {"max", jsonOf(summary.max)},
                               {"max_at_s", jsonOf(summary.max_at_s)},
                               {"missing", summary.missing},
                               {"text_cells", summary.text_cells}});
    }
    return Json{{"file", file},
                {"encoding", table.encoding},
                {"delimiter", table.delimiter},
                {"decimal", table.decimal},
                {"header_lines", table.header_lines},
                {"clock", table.clock},
                {"started", table.started ? Json(format::wallTimeText(*table.started)) : Json(nullptr)},
                {"rows_kept", table.time_s.size()},
                {"rows_refused", table.rows_refused},
                {"span_s", span(table.time_s)},
                {"median_interval_s", jsonOf(session::medianInterval(table.time_s))},
                {"columns", std::move(columns)},
                {"refused", jsonOf(table.refused)},
                {"clock_fault_count", table.clock_fault_count},
                {"clock_faults", jsonOf(table.clock_faults)},
                {"odd_cell_count", table.odd_cell_count},
                {"odd_cells", jsonOf(table.odd_cells)},
                {"notes", table.notes}};
}

std::string numberOrNothing(const std::optional<double>& value) {
    return value ? format::numberText(*value) : std::string("-");
}

// Seconds, and hours where nobody would count the seconds.
std::string momentText(double time_s) {
    constexpr double too_many_s = 1e5;
    return time_s < too_many_s ? format::numberText(time_s) + " s" : format::durationText(time_s);
}

std::string unitText(const std::string& unit) {
    if (unit == "degC") {
        return "°C";
    }
    if (unit == "degF") {
        return "°F";
    }
    return unit.empty() ? "-" : format::oneLine(unit);
}

std::string columnsText(const csv::Table& table) {
    std::string text =
        fmt::format("  {:<24}{:>6}{:>11}{:>12}{:>12}{:>14}\n", "column", "unit", "numbers", "least", "greatest", "at");
    for (std::size_t i = 0; i < table.channels.size(); ++i) {
        const csv::ColumnSummary& summary = table.summaries[i];
        const std::string name = table.channels[i].name.empty()
                                     ? "(no name)"
                                     : format::shortened(format::oneLine(table.channels[i].name), 23);
        text += fmt::format("  {:<24}{:>6}{:>11}{:>12}{:>12}{:>14}\n", name, unitText(table.channels[i].unit),
                            format::countText(summary.kept), numberOrNothing(summary.min), numberOrNothing(summary.max),
                            summary.max_at_s ? momentText(*summary.max_at_s) : std::string());
    }
    return text;
}

std::string listText(std::string_view title, const std::vector<csv::Refusal>& refusals, std::size_t count) {
    if (count == 0) {
        return {};
    }
    std::string text = fmt::format("\n  {}:\n", title);
    const std::size_t shown = std::min(refusals.size(), listed_in_text);
    for (std::size_t i = 0; i < shown; ++i) {
        text += fmt::format("    line {}: {}\n", refusals[i].line, wrapped(format::oneLine(refusals[i].reason), 6, 78));
    }
    if (count > shown) {
        text += fmt::format("    … and {} more (use --json for all)\n", format::countText(count - shown));
    }
    return text;
}

std::string textOf(const std::string& file, const csv::Table& table) {
    const auto row = [](std::string_view name, const std::string& content) {
        return fmt::format("  {:<8}{}\n", name, wrapped(content, 10));
    };
    std::string rows = fmt::format("{} kept, {} refused; {}", format::countText(table.time_s.size()),
                                   format::countText(table.rows_refused), format::durationText(span(table.time_s)));
    if (const std::optional<double> interval = session::medianInterval(table.time_s)) {
        rows += fmt::format(", one every {} s", format::numberText(*interval));
    }
    const std::string begun = table.started ? ", begun " + format::wallTimeText(*table.started) : std::string();
    std::string text = format::oneLine(file) + '\n';
    text += row("text", fmt::format("{}, {} between columns, decimal {}, {} above the data", table.encoding,
                                    table.delimiter, table.decimal,
                                    format::countText(static_cast<std::size_t>(table.header_lines), "line", "lines")));
    text += row("clock", table.clock + begun);
    text += row("rows", rows) + '\n' + columnsText(table);
    text += listText(fmt::format("{} refused", format::countText(table.rows_refused, "line", "lines")), table.refused,
                     table.rows_refused);
    text += listText(fmt::format("{} of the clock", format::countText(table.clock_fault_count, "fault", "faults")),
                     table.clock_faults, table.clock_fault_count);
    text += listText(fmt::format("{} without a number", format::countText(table.odd_cell_count, "cell", "cells")),
                     table.odd_cells, table.odd_cells.size());
    text += table.notes.empty() ? "" : "\n  taken for granted:\n";
    for (const std::string& note : table.notes) {
        text += "    " + wrapped(format::oneLine(note), 4) + '\n';
    }
    return text;
}

ExitCode runInspect(const Wanted& wanted) {
    Json files = Json::array();
    std::string text;
    std::vector<Fault> faults;
    {
        const StopSignal stop;
        ProgressLine progress;
        for (const std::string& file : wanted.files) {
            const Result<csv::Table> table = session::readTable(file, wanted.import, progress.teller(), stop.token());
            if (!table) {
                faults.push_back(table.error());
            } else if (wanted.json) {
                files.push_back(jsonOf(file, *table));
            } else {
                text += (text.empty() ? "" : "\n") + textOf(file, *table);
            }
        }
    }
    if (!wanted.json) {
        return finish(printText(text), faults);
    }
    return finish(printJson(Json{{"format", 1}, {"files", std::move(files)}, {"faults", faultsJson(faults)}}), faults);
}

} // namespace

Command addInspect(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("inspect", "show what the importer makes of a table, before anything is kept")
            ->group("Commands");
    addFiles(*parser, wanted->files);
    addJson(*parser, wanted->json);
    addImportOptions(*parser, wanted->import);
    parser->footer("Example:\n  potwatch inspect rod-03.csv\n"
                   "  potwatch inspect logger.txt --date-order day-first --columns \"T1 (°C)\"");
    const auto run = [wanted] {
        demand("FILE", !wanted->files.empty());
        return runInspect(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
