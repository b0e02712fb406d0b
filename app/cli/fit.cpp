// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/fit_output.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/report/file_ending.h"
#include "app/report/fit_plot.h"
#include "app/session/fit_files.h"
#include "app/session/whole_file.h"
#include "io/kinetics/kinetics_file.h"

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <memory>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

struct Wanted {
    std::vector<std::string> files;
    std::vector<std::string> batch_files;
    session::OpenOptions open;
    session::FitFilesOptions fit;
    std::string model = "autocatalytic";
    std::string out;
    std::string plot;
    bool json = false;
};

void checkNotAnInput(const std::string& option, const std::string& path, const Wanted& wanted) {
    for (const auto* inputs : {&wanted.files, &wanted.batch_files}) {
        for (const std::string& input : *inputs) {
            std::error_code ignored;
            if (!path.empty() && std::filesystem::equivalent(path, input, ignored)) {
                throw CLI::ValidationError(option, "\"" + path + "\" is read as input and would be overwritten");
            }
        }
    }
}

void check(Wanted& wanted) {
    demand("FILE", !wanted.files.empty());
    if (wanted.model != "autocatalytic" && wanted.model != "nth-order") {
        throw CLI::ValidationError("--model", "\"" + wanted.model + "\" must be nth-order or autocatalytic");
    }
    if (!wanted.plot.empty() && !report::hasEnding(wanted.plot, ".svg") && !report::hasEnding(wanted.plot, ".pdf") &&
        !report::hasEnding(wanted.plot, ".png")) {
        throw CLI::ValidationError("--plot", "\"" + wanted.plot + "\" must end in one of .svg, .pdf, .png");
    }
    checkNotAnInput("--out", wanted.out, wanted);
    checkNotAnInput("--plot", wanted.plot, wanted);
    if (wanted.batch_files.size() > 1 && wanted.batch_files.size() != wanted.files.size()) {
        throw CLI::ValidationError("--batch", "give it once for all files, or once for each file in their order");
    }
    wanted.fit.fit.model = wanted.model == "nth-order" ? RateModel::nth_order : RateModel::autocatalytic;
}

std::vector<session::FileToOpen> filesToOpen(const Wanted& wanted) {
    std::vector<session::FileToOpen> files;
    for (std::size_t i = 0; i < wanted.files.size(); ++i) {
        session::FileToOpen file{.file = wanted.files[i], .options = wanted.open};
        file.options.channel = wanted.fit.fit.channel;
        if (!wanted.batch_files.empty()) {
            const bool shared = wanted.batch_files.size() == 1;
            file.options.batch_file = wanted.batch_files[shared ? 0 : i];
            file.options.shared_batch = shared && wanted.files.size() > 1;
        }
        files.push_back(std::move(file));
    }
    return files;
}

ExitCode runFit(const Wanted& wanted) {
    const StopSignal stop;
    ProgressLine progress;
    const auto fitted = session::fitFiles(filesToOpen(wanted), wanted.fit, progress.teller(), stop.token());
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
        note(wanted.plot, report::writeFitPlot(fitted->fit, wanted.plot));
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
    addFiles(*parser, wanted->files);
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
    parser->add_option("--out", wanted->out, "kinetics file (TOML) for the forecasts")->type_name("FILE");
    parser
        ->add_option("--plot", wanted->plot,
                     "what the law misses of each run, and measured against modelled degree, as OUT.svg, OUT.pdf or "
                     "OUT.png")
        ->type_name("OUT");
    parser
        ->add_option("--batch", wanted->batch_files,
                     "what is known of the run (TOML); otherwise NAME.batch.toml beside NAME.csv. Once for all files, "
                     "or once for each")
        ->type_name("FILE")
        ->expected(1)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
    parser->add_option("--channel", wanted->fit.fit.channel, "the column that reads the reacting mass")
        ->type_name("NAME");
    parser
        ->add_option("--thermocouple", wanted->open.thermocouple, "type behind columns in millivolts: B E J K N R S T")
        ->type_name("TYPE");
    parser
        ->add_option("--cold-junction", wanted->open.cold_junction,
                     "its temperature in °C, or the column that reads it")
        ->type_name("T");
    addImportOptions(*parser, wanted->open.import);
    parser->footer("Example:\n  potwatch fit rod-0*.csv --catalyst --out rods.toml --plot rods.svg");
    const auto run = [wanted] {
        check(*wanted);
        return runFit(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
