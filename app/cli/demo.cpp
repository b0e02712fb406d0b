// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/demo_folder.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_names.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/cli/text_table.h"
#include "app/format/findings_json.h"
#include "app/format/number.h"
#include "app/report/compare_plot.h"
#include "app/report/plot.h"
#include "app/session/analyse_files.h"
#include "app/session/compare.h"
#include "app/session/report_run.h"
#include "app/session/sample_data.h"
#include "app/session/series_csv.h"
#include "app/session/whole_file.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;
using format::Quantity;
using session::AnalysedRun;

struct Wanted {
    std::string folder;
    bool json = false;
};

// Everything that the demo has made so far.
struct Made {
    std::string folder;
    std::vector<AnalysedRun> runs;
    std::vector<std::string> written;
    std::vector<Fault> faults;
};

Json findingsObject(const Made& made) {
    Json runs = Json::array();
    for (const AnalysedRun& run : made.runs) {
        runs.push_back(format::findingsJson(run.analysis));
    }
    return Json{{"format", 1}, {"runs", std::move(runs)}};
}

void analyseSampleData(Made& made, const std::stop_token& stop) {
    const Result<std::vector<std::string>> files = session::writeSampleData(made.folder + "/data");
    if (!files) {
        made.faults.push_back(files.error());
        return;
    }
    made.written = *files;
    std::vector<session::FileToOpen> to_open;
    for (const std::string& file : *files) {
        if (endingOf(file) == ".csv") {
            to_open.push_back({.file = file, .options = {}});
        }
    }
    ProgressLine progress;
    AnalyseOptions options;
    options.same_vessel = true;
    for (session::FileOutcome& outcome : session::analyseFiles(to_open, options, progress.teller(), stop)) {
        if (outcome.result) {
            made.runs.push_back(std::move(*outcome.result));
        } else {
            made.faults.insert(made.faults.end(), outcome.result.error().begin(), outcome.result.error().end());
        }
    }
}

void note(Made& made, const std::string& path, const Result<void>& result) {
    if (result) {
        made.written.push_back(path);
    } else {
        made.faults.push_back(result.error());
    }
}

void writeComparison(Made& made, bool can_draw) {
    std::vector<compare::ComparedRun> runs;
    for (const AnalysedRun& run : made.runs) {
        if (!run.batch.blank) {
            runs.push_back(session::comparedRunOf(run.batch, run.analysis));
        }
    }
    const auto comparison = session::compareRuns(runs, {.limit = session::usual_limit_c});
    if (!comparison) {
        return; // no run could be analysed, which has been said
    }
    const std::string table = made.folder + "/compare.csv";
    note(made, table, session::writeWholeFile(table, session::compareCsv(*comparison)));
    if (can_draw) {
        const std::string plot = made.folder + "/compare.svg";
        note(made, plot, report::writeComparePlot({.comparison = *comparison, .runs = runs}, plot));
    }
}

void writeEverything(Made& made, const std::stop_token& stop) {
    std::vector<session::ReportRun> runs;
    for (const AnalysedRun& run : made.runs) {
        runs.push_back(session::reportRunOf(run));
    }
    ProgressLine progress;
    const Progress tell = progress.teller();
    for (std::size_t i = 0; i < runs.size() && !stop.stop_requested(); ++i) {
        const Analysis& analysis = *runs[i].analysis;
        const std::string name = asFileName(analysis.findings.run);
        if (tell) {
            tell(static_cast<double>(i) / static_cast<double>(runs.size() + 1), "drawing " + name);
        }
        const std::string plot = made.folder + "/plots/" + name + ".svg";
        const Result<void> drawn = report::writePlot(analysis, plot);
        note(made, plot, drawn);
        const std::string series = made.folder + "/series/" + name + ".csv";
        note(made, series, session::writeSeries(analysis.series, series));
        if (!drawn && drawn.error().kind == FaultKind::unsupported) {
            break; // what this build or this machine cannot draw once it cannot draw seven times
        }
    }
    const bool can_draw = std::none_of(made.faults.begin(), made.faults.end(),
                                       [](const Fault& fault) { return fault.kind == FaultKind::unsupported; });
    for (const std::string& report : {made.folder + "/report.html", made.folder + "/report.pdf"}) {
        if (can_draw && !runs.empty() && !stop.stop_requested()) {
            note(made, report, report::writeReport(runs, {.made_on = session::todayText()}, report));
        }
    }
    writeComparison(made, can_draw);
    const std::string findings = made.folder + "/findings.json";
    note(made, findings, session::writeWholeFile(findings, findingsObject(made).dump(1) + "\n"));
}

std::string shown(const std::optional<Estimate>& estimate, Quantity quantity) {
    return estimate ? format::estimateText(*estimate, quantity) : std::string("unknown");
}

std::optional<double> doseRate(const AnalysedRun& run) {
    return run.batch.dose ? run.batch.dose->rate_g_per_min : std::nullopt;
}

std::string figures(const Made& made) {
    std::vector<std::vector<std::string>> rows{{"run", "g/min", "onset", "peak", "heat", "degree (95 %)", "boiled"}};
    for (const AnalysedRun& run : made.runs) {
        if (run.batch.blank) {
            continue;
        }
        const Findings& found = run.analysis.findings;
        const Landmarks& at = found.landmarks;
        const std::optional<double> rate = doseRate(run);
        rows.push_back(
            {found.run, rate ? format::numberText(*rate) : "-",
             at.onset ? format::valueText(at.onset->time_s.value, Quantity::time) : "not found",
             at.peak ? format::estimateText(at.peak->temperature_c, Quantity::temperature) : "not found",
             shown(found.heat.released_j, Quantity::heat),
             found.cure.final_degree ? format::intervalText(*found.cure.final_degree, Quantity::degree) : "unknown",
             at.boil_plateau ? format::durationText(at.boil_plateau->end_s - at.boil_plateau->start_s) : "no"});
    }
    return tableText(rows);
}

// What the seven runs say together, from their own figures.
std::string lesson(const Made& made) {
    const AnalysedRun* slowest = nullptr;
    const AnalysedRun* fastest = nullptr;
    for (const AnalysedRun& run : made.runs) {
        if (!run.analysis.findings.landmarks.peak || !doseRate(run)) {
            continue;
        }
        slowest = slowest == nullptr || *doseRate(run) < *doseRate(*slowest) ? &run : slowest;
        fastest = fastest == nullptr || *doseRate(run) > *doseRate(*fastest) ? &run : fastest;
    }
    if (slowest == nullptr || slowest == fastest) {
        return {};
    }
    const auto peak = [](const AnalysedRun& run) {
        return format::valueText(run.analysis.findings.landmarks.peak->temperature_c.value, Quantity::temperature);
    };
    std::string text = fmt::format("The same acid, dosed at {} instead of {} g/min, takes the peak from {} to {}",
                                   format::numberText(*doseRate(*fastest)), format::numberText(*doseRate(*slowest)),
                                   peak(*slowest), peak(*fastest));
    text += fastest->analysis.findings.landmarks.boil_plateau ? ", where the water boils and the casting foams." : ".";
    return "  " + wrapped(text, 2) + "\n";
}

std::string textOf(const Made& made) {
    std::string text = "Seven castings of rod stock, one vessel, seven dosing rates (invented data)\n\n" +
                       figures(made) + "\n" + lesson(made) +
                       "  ± is half of the interval that holds the value with 95 % confidence.\n\n";
    const auto has = [&](const std::string& path) {
        return std::find(made.written.begin(), made.written.end(), path) != made.written.end();
    };
    text += "Everything is in " + made.folder + ". Look at:\n";
    if (has(made.folder + "/report.html")) {
        text += "  " + made.folder + "/report.html   all runs: inputs, findings, plots, warnings\n";
    }
    text += "  " + made.folder + "/findings.json\n";
    const auto first = std::find_if(made.runs.begin(), made.runs.end(), [](const AnalysedRun& run) {
        return run.analysis.findings.landmarks.boil_plateau;
    });
    text += "Then try:\n";
    if (first != made.runs.end()) {
        text += "  potwatch analyse " + first->analysis.findings.file + " --at 300,600\n";
    }
    text += "  potwatch inspect YOUR.csv\n";
    return text;
}

ExitCode runDemo(const Wanted& wanted) {
    const StopSignal stop;
    Made made;
    const Result<std::string> folder = demoFolder(wanted.folder);
    if (folder) {
        made.folder = *folder;
        analyseSampleData(made, stop.token());
        if (!made.runs.empty()) {
            writeEverything(made, stop.token());
        }
    } else {
        made.faults.push_back(folder.error());
    }
    addStopped(made.faults, stop.token());
    if (!wanted.json) {
        return finish(made.runs.empty() ? Result<void>() : printText(textOf(made)), made.faults);
    }
    Json object = findingsObject(made);
    object["folder"] = made.folder.empty() ? Json(nullptr) : Json(made.folder);
    object["written"] = made.written;
    object["faults"] = faultsJson(made.faults);
    return finish(printJson(object), made.faults);
}

} // namespace

Command addDemo(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser = program.add_subcommand("demo", "analyse the sample data into a folder, with plots and a report")
                           ->group("Commands");
    parser->add_option("FOLDER", wanted->folder, "where to; a new folder here where nothing is said")
        ->type_name("")
        ->default_str(default_demo_folder);
    addJson(*parser, wanted->json);
    parser->footer("Example:\n  potwatch demo");
    return {.parser = parser, .run = [wanted] { return runDemo(*wanted); }};
}

} // namespace potwatch::cli
