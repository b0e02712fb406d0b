// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/findings_text.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_names.h"
#include "app/cli/progress_line.h"
#include "app/cli/stop_signal.h"
#include "app/format/findings_json.h"
#include "app/report/plot.h"
#include "app/session/analyse_files.h"
#include "app/session/series_csv.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr double most_draws = 100000.0; // more says nothing more of an interval, and would run for hours

// An energy whose uncertainty is not stated. Common practice, no source.
constexpr double default_energy_u_kj_per_mol = 5.0;
constexpr double lowest_c = -100.0;
constexpr double highest_c = 1000.0;
constexpr double highest_energy = 400.0; // beyond any cure

struct Wanted {
    std::vector<std::string> files;
    std::vector<std::string> batch_files;
    session::OpenOptions open;
    AnalyseOptions analysis;
    std::optional<double> draws;
    std::optional<double> equivalent_at_c;
    std::optional<double> energy_kj_per_mol;
    std::optional<double> energy_u_kj_per_mol;
    std::string plot;
    std::string report;
    std::string series;
    bool json = false;
};

void checkEnding(const std::string& option, const std::string& path, const std::vector<std::string>& endings) {
    if (path.empty() || std::find(endings.begin(), endings.end(), endingOf(path)) != endings.end()) {
        return;
    }
    throw CLI::ValidationError(option, "\"" + path + "\" must end in one of " + CLI::detail::join(endings, ", "));
}

// A name mistyped must not cost a recording.
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

void checkEquivalent(Wanted& wanted) {
    if (wanted.equivalent_at_c.has_value() != wanted.energy_kj_per_mol.has_value()) {
        throw CLI::ValidationError("--equivalent-at", "needs the cure's activation energy with it: --energy");
    }
    if (!wanted.equivalent_at_c) {
        if (wanted.energy_u_kj_per_mol) {
            throw CLI::ValidationError("--energy-u", "counts only with --equivalent-at and --energy");
        }
        return;
    }
    const double energy = *wanted.energy_kj_per_mol;
    const double energy_u = wanted.energy_u_kj_per_mol.value_or(default_energy_u_kj_per_mol);
    if (!(*wanted.equivalent_at_c > lowest_c && *wanted.equivalent_at_c <= highest_c)) {
        throw CLI::ValidationError("--equivalent-at",
                                   fmt::format("must be above {} and at most {} °C", lowest_c, highest_c));
    }
    if (!(energy > 0.0 && energy <= highest_energy) || !(energy_u >= 0.0 && energy_u <= energy)) {
        throw CLI::ValidationError("--energy", fmt::format("must be above 0 and at most {} kJ/mol, and --energy-u no "
                                                           "larger than it",
                                                           highest_energy));
    }
    wanted.analysis.equivalent = {.reference_c = *wanted.equivalent_at_c,
                                  .e_kj_per_mol = normalEstimate(energy, energy_u)};
}

void check(Wanted& wanted) {
    demand("FILE", !wanted.files.empty());
    checkEnding("--plot", wanted.plot, {".svg", ".pdf", ".png"});
    checkEnding("--report", wanted.report, {".pdf", ".html"});
    for (const auto& output : {std::pair("--plot", &wanted.plot), std::pair("--report", &wanted.report),
                               std::pair("--series", &wanted.series)}) {
        checkNotAnInput(output.first, *output.second, wanted);
    }
    if (wanted.batch_files.size() > 1 && wanted.batch_files.size() != wanted.files.size()) {
        throw CLI::ValidationError("--batch", "give it once for all files, or once for each file in their order");
    }
    if (wanted.draws) {
        if (*wanted.draws < 0.0 || *wanted.draws > most_draws || *wanted.draws != static_cast<int>(*wanted.draws)) {
            throw CLI::ValidationError("--draws", fmt::format("must be a whole number from 0 to {}", most_draws));
        }
        wanted.analysis.draws = static_cast<int>(*wanted.draws);
    }
    checkEquivalent(wanted);
}

std::vector<session::FileToOpen> filesToOpen(const Wanted& wanted) {
    std::vector<session::FileToOpen> files;
    for (std::size_t i = 0; i < wanted.files.size(); ++i) {
        session::FileToOpen file{.file = wanted.files[i], .options = wanted.open};
        file.options.channel = wanted.analysis.channel;
        if (!wanted.batch_files.empty()) {
            const bool shared = wanted.batch_files.size() == 1;
            file.options.batch_file = wanted.batch_files[shared ? 0 : i];
            file.options.shared_batch = shared && wanted.files.size() > 1;
        }
        files.push_back(std::move(file));
    }
    return files;
}

// What was asked to be written, and what became of it.
class Writer {
public:
    Writer(const std::vector<Analysis>& analyses, bool several, std::stop_token stop)
        : analyses_(analyses)
        , several_(several)
        , stop_(std::move(stop)) {}

    // One file a run.
    template<class Write>
    void writeEach(const std::string& out, const Write& write) {
        if (out.empty()) {
            return;
        }
        std::vector<std::string> runs;
        for (const Analysis& analysis : analyses_) {
            runs.push_back(analysis.findings.run);
        }
        const std::vector<std::string> names = several_ ? namesForRuns(out, runs) : std::vector(runs.size(), out);
        for (std::size_t i = 0; i < analyses_.size() && !stop_.stop_requested(); ++i) {
            note(names[i], write(analyses_[i], names[i]));
        }
    }

    void writeReport(const std::string& out) {
        if (!out.empty() && !analyses_.empty() && !stop_.stop_requested()) {
            note(out, report::writeReport(analyses_, out));
        }
    }

    std::vector<std::string> written;
    std::vector<Fault> faults;

private:
    void note(const std::string& path, const Result<void>& result) {
        if (result) {
            written.push_back(path);
        } else {
            faults.push_back(result.error());
        }
    }

    const std::vector<Analysis>& analyses_;
    bool several_;
    std::stop_token stop_;
};

std::string textOf(const std::vector<Analysis>& analyses, const std::vector<std::string>& written) {
    std::string text;
    for (const Analysis& analysis : analyses) {
        text += (text.empty() ? "" : "\n\n") + findingsText(analysis.findings);
    }
    text += analyses.empty() ? "" : "\n  ± is half of the interval that holds the value with 95 % confidence.\n";
    for (const std::string& file : written) {
        text += "  Written: " + file + "\n";
    }
    return text;
}

ExitCode runAnalyse(const Wanted& wanted) {
    const StopSignal stop;
    ProgressLine progress;
    std::vector<session::FileOutcome> outcomes =
        session::analyseFiles(filesToOpen(wanted), wanted.analysis, progress.teller(), stop.token());
    progress.wipe();
    std::vector<Analysis> analyses;
    std::vector<Fault> faults;
    for (session::FileOutcome& outcome : outcomes) {
        if (outcome.result) {
            analyses.push_back(std::move(outcome.result->analysis));
        } else {
            faults.insert(faults.end(), outcome.result.error().begin(), outcome.result.error().end());
        }
    }

    Writer writer(analyses, wanted.files.size() > 1, stop.token());
    writer.writeEach(wanted.plot, [](const Analysis& analysis, const std::string& path) {
        return report::writePlot(analysis, path);
    });
    writer.writeEach(wanted.series, [](const Analysis& analysis, const std::string& path) {
        return session::writeSeries(analysis.series, path);
    });
    writer.writeReport(wanted.report);
    faults.insert(faults.end(), writer.faults.begin(), writer.faults.end());
    addStopped(faults, stop.token());

    if (!wanted.json) {
        return finish(printText(textOf(analyses, writer.written)), faults);
    }
    nlohmann::ordered_json runs = nlohmann::ordered_json::array();
    for (const Analysis& analysis : analyses) {
        runs.push_back(format::findingsJson(analysis));
    }
    return finish(
        printJson(nlohmann::ordered_json{
            {"format", 1}, {"runs", std::move(runs)}, {"written", writer.written}, {"faults", faultsJson(faults)}}),
        faults);
}

} // namespace

Command addAnalyse(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("analyse", "find onset, peak, heat and degree of cure in recorded traces")
            ->group("Commands");
    addFiles(*parser, wanted->files);
    addJson(*parser, wanted->json);
    parser
        ->add_option(
            "--batch", wanted->batch_files,
            "what is known of the run (TOML); otherwise NAME.batch.toml beside NAME.csv. Once for all files, or "
            "once for each")
        ->type_name("FILE")
        ->expected(1)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
    parser->add_option("--channel", wanted->analysis.channel, "the column that reads the reacting mass")
        ->type_name("NAME");
    parser->add_flag("--same-vessel", wanted->analysis.same_vessel,
                     "runs of one vessel share its loss coefficient, identified from all of them");
    addNumbers(*parser, {.name = "--at", .value = "S,S,...", .description = "also the degree of cure at these seconds"},
               wanted->analysis.at_s);
    addNumber(*parser,
              {.name = "--equivalent-at",
               .value = "T",
               .description = "also the time at this temperature (°C) that cures as far; needs --energy"},
              wanted->equivalent_at_c);
    addNumber(*parser,
              {.name = "--energy", .value = "E", .description = "activation energy of the cure for it, in kJ/mol"},
              wanted->energy_kj_per_mol);
    addNumber(*parser,
              {.name = "--energy-u",
               .value = "U",
               .description = fmt::format("its standard uncertainty, in kJ/mol ({})", default_energy_u_kj_per_mol)},
              wanted->energy_u_kj_per_mol);
    addNumber(
        *parser,
        {.name = "--draws",
         .value = "N",
         .description = fmt::format("draws of the Monte Carlo behind the intervals ({}; 0: linear propagation alone)",
                                    wanted->analysis.draws)},
        wanted->draws);
    parser->add_option("--plot", wanted->plot, "annotated plot, as OUT.svg, OUT.pdf or OUT.png")->type_name("OUT");
    parser->add_option("--report", wanted->report, "report of all runs, as OUT.pdf or OUT.html")->type_name("OUT");
    parser
        ->add_option("--series", wanted->series,
                     "time, temperature, rate, heat and degree as CSV. With several files --plot and --series write "
                     "OUT-RUN.svg and OUT-RUN.csv for each run")
        ->type_name("OUT");
    parser
        ->add_option("--thermocouple", wanted->open.thermocouple, "type behind columns in millivolts: B E J K N R S T")
        ->type_name("TYPE");
    parser
        ->add_option("--cold-junction", wanted->open.cold_junction,
                     "its temperature in °C, or the column that reads it")
        ->type_name("T");
    addImportOptions(*parser, wanted->open.import);
    parser->footer("Example:\n  potwatch analyse rod-03.csv --at 300,600 --plot rod-03.svg --report rod-03.pdf");
    const auto run = [wanted] {
        check(*wanted);
        return runAnalyse(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
