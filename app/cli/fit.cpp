// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/fit_output.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_check.h"
#include "app/cli/progress_line.h"
#include "app/cli/run_files.h"
#include "app/cli/stop_signal.h"
#include "app/report/fit_plot.h"
#include "app/session/fit_files.h"
#include "app/session/whole_file.h"
#include "io/kinetics/kinetics_file.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr double lowest_c = -100.0;
constexpr double highest_c = 1000.0;

struct Wanted {
    RunFiles runs;
    session::FitFilesOptions fit;
    std::string model = "autocatalytic";
    std::string out;
    std::string plot;
    bool json = false;
};

void check(Wanted& wanted) {
    if (wanted.model != "autocatalytic" && wanted.model != "nth-order") {
        throw CLI::ValidationError("--model", "\"" + wanted.model + "\" must be nth-order or autocatalytic");
    }
    const auto& equivalent_at_c = wanted.fit.equivalent_at_c;
    if (equivalent_at_c && !(*equivalent_at_c > lowest_c && *equivalent_at_c <= highest_c)) {
        throw CLI::ValidationError("--equivalent-at",
                                   fmt::format("must be above {} and at most {} °C", lowest_c, highest_c));
    }
    const std::vector<std::string> inputs = inputsOf(wanted.runs);
    checkOutput({"--plot", wanted.plot, Written::picture, {".svg", ".pdf", ".png"}}, inputs);
    checkOutput({"--out", wanted.out, Written::kinetics, {}}, inputs);
    wanted.fit.fit.model = wanted.model == "nth-order" ? RateModel::nth_order : RateModel::autocatalytic;
    wanted.fit.fit.channel = wanted.runs.open.channel;
}

ExitCode runFit(const Wanted& wanted) {
    const std::vector<session::FileToOpen> files = filesToOpen(wanted.runs);
    const StopSignal stop;
    ProgressLine progress;
    const auto fitted = session::fitFiles(files, wanted.fit, progress.teller(), stop.token());
    progress.wipe();
    if (!fitted) {
        if (wanted.json) {
            return finish(printJson(nlohmann::ordered_json{{"format", 1},
                                                           {"model", nullptr},
                                                           {"parameters", nullptr},
                                                           {"rmse_degree", nullptr},
                                                           {"runs", nlohmann::ordered_json::array()},
                                                           {"left_out", nlohmann::ordered_json::array()},
                                                           {"faults", faultsJson(fitted.error())}}),
                          fitted.error());
        }
        return finish({}, fitted.error());
    }
    std::vector<std::string> written;
    std::vector<Fault> faults;
    const auto note = [&](const std::string& path, const Result<void>& result) {
        if (result) {
            written.push_back(path);
        } else {
            faults.push_back(result.error());
        }
    };
    if (!wanted.out.empty()) {
        note(wanted.out, session::writeWholeFile(wanted.out, kinetics_file::write(fitted->fit.kinetics)));
    }
    if (!wanted.plot.empty()) {
        note(wanted.plot,
             report::writeFitPlot({.fit = fitted->fit, .energies = session::energiesOf(*fitted)}, wanted.plot));
    }
    if (wanted.json) {
        nlohmann::ordered_json json = fitJson(*fitted);
        json["written"] = written;
        json["faults"] = faultsJson(faults);
        return finish(printJson(json), faults);
    }
    std::string text = fitText(*fitted);
    text += written.empty() ? "" : "\n";
    for (const std::string& file : written) {
        text += "  Written: " + file + "\n";
    }
    return finish(printText(text), faults);
}

} // namespace

Command addFit(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("fit", "find how a resin cures (its kinetics) from one or many runs at once")
            ->group("Commands");
    addRunFiles(*parser, wanted->runs);
    addJson(*parser, wanted->json);
    parser
        ->add_option("--model", wanted->model,
                     "the law of cure: nth-order or autocatalytic (autocatalytic); both are compared")
        ->type_name("LAW");
    parser->add_flag("--catalyst", wanted->fit.fit.find_catalyst_order,
                     "find the catalyst's order too, from runs of different doses or dosing rates; otherwise it is 1");
    parser->add_flag("--isoconversional", wanted->fit.isoconversional,
                     "also the activation energy without any law: Friedman; and Kissinger, Ozawa, ASTM E698 and KAS "
                     "where the heating rates are constant");
    addNumber(*parser,
              {.name = "--equivalent-at",
               .value = "T",
               .description = "also the time at this temperature (°C) that cures as far as each run did"},
              wanted->fit.equivalent_at_c);
    parser->add_option("--out", wanted->out, "kinetics file (TOML) for the forecasts")->type_name("FILE");
    parser
        ->add_option("--plot", wanted->plot,
                     "what the law misses of each run, measured against modelled degree, and with --isoconversional "
                     "the activation energy over the degree, as OUT.svg, OUT.pdf or OUT.png")
        ->type_name("OUT");
    parser->footer("Example:\n  potwatch fit rod-0*.csv --catalyst --out rods.toml --plot rods.svg");
    const auto run = [wanted] {
        check(*wanted);
        return runFit(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
