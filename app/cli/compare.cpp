// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/compare.h"

#include "app/cli/commands.h"
#include "app/cli/compare_output.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_check.h"
#include "app/cli/progress_line.h"
#include "app/cli/run_files.h"
#include "app/cli/stop_signal.h"
#include "app/report/compare_plot.h"
#include "app/session/whole_file.h"

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

struct Wanted {
    RunFiles runs;
    session::CompareRequest request;
    std::string align = "dose";
    std::string form;
    std::string plot;
    std::string csv;
    bool json = false;
};

void checkFigure(const std::string& option, const std::string& key) {
    if (const auto figure = session::figureFor(key); !figure) {
        throw CLI::ValidationError(option, figure.error().what + "; " + figure.error().remedy);
    }
}

void check(Wanted& wanted) {
    checkFigure("--x", wanted.request.x);
    checkFigure("--y", wanted.request.y);
    const auto align = compare::alignOf(wanted.align);
    if (!align) {
        throw CLI::ValidationError("--align", "\"" + wanted.align + "\" must be start, dose, onset or peak");
    }
    wanted.request.align = *align;
    for (const auto form :
         {compare::TrendForm::straight, compare::TrendForm::logarithmic, compare::TrendForm::saturating}) {
        if (wanted.form == compare::nameOf(form)) {
            wanted.request.form = form;
        }
    }
    if (!wanted.form.empty() && !wanted.request.form) {
        throw CLI::ValidationError("--trend", "\"" + wanted.form + "\" must be straight, logarithmic or saturating");
    }
    const std::vector<std::string> inputs = inputsOf(wanted.runs);
    checkOutput({"--plot", wanted.plot, Written::picture, {".svg", ".pdf", ".png"}}, inputs);
    checkOutput({"--csv", wanted.csv, Written::table, {}}, inputs);
}

ExitCode runCompare(const Wanted& wanted) {
    const StopSignal stop;
    ProgressLine progress;
    AnalyseOptions options;
    options.channel = wanted.runs.open.channel;
    session::RunsToCompare opened =
        session::openToCompare(filesToOpen(wanted.runs), options, progress.teller(), stop.token());
    progress.wipe();
    std::vector<Fault> faults = std::move(opened.faults);
    addStopped(faults, stop.token());
    Result<session::Comparison> comparison = tl::unexpected(Fault{});
    if (!opened.runs.empty() || faults.empty()) {
        comparison = session::compareRuns(opened.runs, wanted.request);
        if (!comparison) {
            faults.push_back(comparison.error());
        }
    }
    if (!comparison) {
        if (!wanted.json) {
            return finish({}, faults);
        }
        return finish(printJson(nlohmann::ordered_json{{"format", 1},
                                                       {"table", nlohmann::ordered_json::array()},
                                                       {"trend", nullptr},
                                                       {"warnings", opened.warnings},
                                                       {"faults", faultsJson(faults)}}),
                      faults);
    }
    comparison->warnings.insert(comparison->warnings.begin(), opened.warnings.begin(), opened.warnings.end());
    std::vector<std::string> written;
    const auto note = [&](const std::string& path, const Result<void>& result) {
        if (result) {
            written.push_back(path);
        } else {
            faults.push_back(result.error());
        }
    };
    if (!wanted.csv.empty()) {
        note(wanted.csv, session::writeWholeFile(wanted.csv, session::compareCsv(*comparison)));
    }
    if (!wanted.plot.empty()) {
        note(wanted.plot, report::writeComparePlot({.comparison = *comparison, .runs = opened.runs}, wanted.plot));
    }
    // A limit was asked for and these runs do not say where it is met.
    if (wanted.request.limit && !comparison->at_limit) {
        faults.push_back(Fault{.kind = FaultKind::missing, .what = comparison->no_limit});
    }
    if (wanted.json) {
        nlohmann::ordered_json json = compareJson(*comparison, opened.runs);
        json["written"] = written;
        json["faults"] = faultsJson(faults);
        return finish(printJson(json), faults);
    }
    std::string text = compareText(*comparison);
    for (const std::string& file : written) {
        text += "  Written: " + file + "\n";
    }
    return finish(printText(text), faults);
}

} // namespace

Command addCompare(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("compare", "set runs beside each other: what was done, what came of it, the next rate")
            ->group("Commands");
    addRunFiles(*parser, wanted->runs);
    addJson(*parser, wanted->json);
    parser->add_option("--x", wanted->request.x, "figure across (dose_rate_g_per_min): any key of the table")
        ->type_name("KEY");
    parser->add_option("--y", wanted->request.y, "figure upwards (peak_temperature_c)")->type_name("KEY");
    addNumber(*parser,
              {.name = "--limit",
               .value = "Y",
               .description = "where the trend comes to this, in the unit of --y: the rate that keeps the peak under "
                              "it, with its interval, and the next rate to try"},
              wanted->request.limit);
    parser->add_option("--trend", wanted->form, "straight, logarithmic or saturating; otherwise chosen by AICc")
        ->type_name("FORM");
    parser
        ->add_option("--align", wanted->align,
                     "moment at which the overlay lays the runs on each other: start, dose, onset or peak (dose)")
        ->type_name("MOMENT");
    parser
        ->add_option("--plot", wanted->plot,
                     "overlay of the runs, and below it the trend with its bands, as OUT.svg, OUT.pdf or OUT.png")
        ->type_name("OUT");
    parser->add_option("--csv", wanted->csv, "the whole table as CSV")->type_name("OUT");
    parser->footer("Example:\n  potwatch compare rod-0*.csv --limit 95 --plot rods.svg");
    const auto run = [wanted] {
        check(*wanted);
        return runCompare(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
