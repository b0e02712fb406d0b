// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/forecast_output.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_check.h"
#include "app/cli/run_files.h"
#include "app/cli/stop_signal.h"
#include "app/forecast/mould_job.h"
#include "app/session/whole_file.h"

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <memory>
#include <string>
#include <vector>

namespace potwatch::cli {
namespace {

struct Wanted {
    forecast::MouldJob mould;
    std::optional<double> target;
    std::string duration;
    std::string series;
    bool json = false;
};

void checkMould(Wanted& wanted) {
    demand("--kinetics", !wanted.mould.kinetics_file.empty());
    demand("--mould", !wanted.mould.mould_file.empty());
    if (wanted.mould.programme.empty() == wanted.mould.oven_file.empty()) {
        throw CLI::ValidationError("give either --programme or --oven", "it says how hot the air is, and when");
    }
    if (!wanted.duration.empty()) {
        wanted.mould.until_s = secondsOf(wanted.duration);
        if (!wanted.mould.until_s) {
            throw CLI::ValidationError("--for", "\"" + wanted.duration + "\" is no time; write 90s, 10m or 8h");
        }
    }
    wanted.mould.target_degree = wanted.target.value_or(wanted.mould.target_degree);
    if (!(wanted.mould.target_degree > 0.0 && wanted.mould.target_degree <= 1.0)) {
        throw CLI::ValidationError("--target", "a degree of cure lies above 0 and at most at 1");
    }
    std::vector<std::string> inputs{wanted.mould.kinetics_file, wanted.mould.mould_file};
    if (!wanted.mould.oven_file.empty()) {
        inputs.push_back(wanted.mould.oven_file);
    }
    checkOutput({"--series", wanted.series, Written::table, {".csv"}}, inputs);
}

ExitCode runMould(const Wanted& wanted) {
    const StopSignal stop;
    const auto answer = forecast::forecastMould(wanted.mould, stop.token());
    if (!answer) {
        return wanted.json
                   ? finish(printJson(nlohmann::ordered_json{{"format", 1}, {"faults", faultsJson(answer.error())}}),
                            answer.error())
                   : finish({}, answer.error());
    }
    std::vector<Fault> faults;
    if (!wanted.series.empty()) {
        if (const Result<void> written = session::writeWholeFile(wanted.series, mouldSeriesCsv(*answer)); !written) {
            faults.push_back(written.error());
        }
    }
    if (wanted.json) {
        nlohmann::ordered_json json = mouldJson(*answer);
        json["faults"] = faultsJson(faults);
        return finish(printJson(json), faults);
    }
    std::string text = mouldText(*answer);
    text += wanted.series.empty() || !faults.empty() ? "" : "\n  Written: " + wanted.series + "\n";
    return finish(printText(text), faults);
}

CLI::App* addMould(CLI::App& forecast, Wanted& wanted) {
    CLI::App* parser =
        forecast.add_subcommand("mould", "core and skin of a casting that cures in an oven")->group("What");
    parser
        ->add_option("--kinetics", wanted.mould.kinetics_file, "how the resin cures, as `potwatch fit --out` writes it")
        ->type_name("FILE");
    parser->add_option("--mould", wanted.mould.mould_file, "shape, sizes and walls (TOML)")->type_name("FILE");
    parser
        ->add_option("--programme", wanted.mould.programme,
                     "what the oven is set to: from °C to °C at K/min, then minutes to hold, as 25>80@2/30 80>120@1/60")
        ->type_name("TEXT");
    parser->add_option("--oven", wanted.mould.oven_file, "the air as it was recorded, instead")->type_name("TRACE.csv");
    parser->add_option("--oven-column", wanted.mould.oven_column, "its column (else the first temperature)")
        ->type_name("NAME");
    parser
        ->add_option("--other-programme", wanted.mould.other_programme,
                     "the air on the other side of a slab, where it is another one")
        ->type_name("TEXT");
    parser->add_option("--for", wanted.duration, "how long (else as long as the oven is known): 90s, 10m, 8h")
        ->type_name("TIME");
    addNumber(
        *parser,
        {.name = "--target", .value = "D", .description = "the degree of cure that every place should reach (0.95)"},
        wanted.target);
    parser->add_option("--series", wanted.series, "core and skin against time, as CSV")->type_name("OUT.csv");
    addJson(*parser, wanted.json);
    addImportOptions(*parser, wanted.mould.import);
    parser->footer("Example:\n  potwatch forecast mould --kinetics rods.toml --mould bar.mould.toml \\\n"
                   "      --programme \"25>70@1.5/90 70>120@1/60\"");
    return parser;
}

} // namespace

Command addForecast(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser = program.add_subcommand("forecast", "what a casting will do in its oven, before it is poured")
                           ->group("Commands");
    parser->require_subcommand(0, 1);
    CLI::App* mould = addMould(*parser, *wanted);
    parser->footer("Example:\n  potwatch forecast mould --kinetics rods.toml --mould bar.mould.toml --programme "
                   "\"25>80@1/120\"\n`potwatch forecast WHAT --help` says more.");
    const auto run = [=] {
        if (mould->parsed()) {
            checkMould(*wanted);
            return runMould(*wanted);
        }
        throw CLI::RequiredError("mould");
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
