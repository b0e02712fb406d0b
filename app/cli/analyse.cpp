// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/findings_text.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/output_check.h"
#include "app/cli/output_names.h"
#include "app/cli/progress_line.h"
#include "app/cli/run_files.h"
#include "app/cli/stop_signal.h"
#include "app/format/findings_json.h"
#include "app/report/plot.h"
#include "app/session/analyse_files.h"
#include "app/session/report_run.h"
#include "app/session/report_wish.h"
#include "app/session/series_csv.h"
#include "app/session/without_vessel.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
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
constexpr double most_seed = 4294967295.0;
constexpr double highest_energy = 400.0; // beyond any cure

struct Wanted {
    RunFiles runs;
    AnalyseOptions analysis;
    std::optional<double> draws;
    std::optional<double> seed;
    std::optional<double> equivalent_at_c;
    std::optional<double> energy_kj_per_mol;
    std::optional<double> energy_u_kj_per_mol;
    std::string plot;
    std::string report;
    std::vector<std::string> section_names;
    const CLI::Option* sections = nullptr;
    std::optional<double> limit_c;
    session::ReportWish report_wish;
    std::string series;
    std::string without_vessel;
    bool json = false;
};

// What is worked out with an activation energy.
void checkEnergy(Wanted& wanted) {
    const bool wants = wanted.equivalent_at_c || !wanted.without_vessel.empty();
    if (wants && !wanted.energy_kj_per_mol) {
        throw CLI::ValidationError(wanted.equivalent_at_c ? "--equivalent-at" : "--without-vessel",
                                   "needs the cure's activation energy with it: --energy");
    }
    if (!wants && wanted.energy_kj_per_mol) {
        throw CLI::ValidationError("--energy", "counts only with --equivalent-at or --without-vessel");
    }
    if (!wanted.equivalent_at_c && wanted.energy_u_kj_per_mol) {
        throw CLI::ValidationError("--energy-u", "counts only with --equivalent-at and --energy");
    }
    if (!wants) {
        return;
    }
    const double energy = *wanted.energy_kj_per_mol;
    const double energy_u = wanted.energy_u_kj_per_mol.value_or(default_energy_u_kj_per_mol);
    if (wanted.equivalent_at_c && !(*wanted.equivalent_at_c > lowest_c && *wanted.equivalent_at_c <= highest_c)) {
        throw CLI::ValidationError("--equivalent-at",
                                   fmt::format("must be above {} and at most {} °C", lowest_c, highest_c));
    }
    if (!(energy > 0.0 && energy <= highest_energy) || !(energy_u >= 0.0 && energy_u <= energy)) {
        throw CLI::ValidationError("--energy", fmt::format("must be above 0 and at most {} kJ/mol, and --energy-u no "
                                                           "larger than it",
                                                           highest_energy));
    }
    if (wanted.equivalent_at_c) {
        wanted.analysis.equivalent = {.reference_c = *wanted.equivalent_at_c,
                                      .e_kj_per_mol = normalEstimate(energy, energy_u)};
    }
}

std::string sectionNames() {
    std::string names;
    for (const session::ReportSection section : session::all_report_sections) {
        names += (names.empty() ? "" : ", ") + std::string(session::nameOf(section));
    }
    return names;
}

void checkSections(Wanted& wanted) {
    wanted.report_wish.made_on = session::todayText();
    if (wanted.limit_c) {
        if (wanted.report.empty()) {
            throw CLI::ValidationError("--limit", "counts only with --report");
        }
        wanted.report_wish.limit_c = wanted.limit_c;
    }
    if (wanted.sections->count() == 0) {
        return;
    }
    if (wanted.report.empty()) {
        throw CLI::ValidationError("--sections", "counts only with --report");
    }
    auto sections = session::reportSections(wanted.section_names);
    if (!sections) {
        throw CLI::ValidationError("--sections", sections.error().what + "; " + sections.error().remedy);
    }
    wanted.report_wish.sections = *std::move(sections);
    for (const session::ReportSection section : wanted.report_wish.sections) {
        if (const std::string why = session::whyNot(section, wanted.runs.files.size()); !why.empty()) {
            throw CLI::ValidationError("--sections", why + ": name more tables, or leave out \"" +
                                                         std::string(session::nameOf(section)) + "\"");
        }
    }
}

void check(Wanted& wanted) {
    wanted.analysis.channel = wanted.runs.open.channel;
    const std::vector<std::string> inputs = inputsOf(wanted.runs);
    checkOutput({"--plot", wanted.plot, Written::picture, {".svg", ".pdf", ".png"}}, inputs);
    checkOutput({"--report", wanted.report, Written::report, {".pdf", ".html"}}, inputs);
    checkOutput({"--series", wanted.series, Written::table, {}}, inputs);
    checkOutput({"--without-vessel", wanted.without_vessel, Written::table, {}}, inputs);
    checkSections(wanted);
    if (wanted.draws) {
        if (*wanted.draws < 0.0 || *wanted.draws > most_draws || *wanted.draws != static_cast<int>(*wanted.draws)) {
            throw CLI::ValidationError("--draws", fmt::format("must be a whole number from 0 to {}", most_draws));
        }
        wanted.analysis.draws = static_cast<int>(*wanted.draws);
    }
    if (wanted.seed) {
        if (*wanted.seed < 0.0 || *wanted.seed > most_seed || *wanted.seed != std::floor(*wanted.seed)) {
            throw CLI::ValidationError("--seed", fmt::format("must be a whole number from 0 to {:.0f}", most_seed));
        }
        wanted.analysis.seed = static_cast<std::uint64_t>(*wanted.seed);
    }
    checkEnergy(wanted);
}

// What was asked to be written, and what became of it.
class Writer {
public:
    Writer(const std::vector<session::AnalysedRun>& runs, bool several, std::stop_token stop)
        : runs_(runs)
        , several_(several)
        , stop_(std::move(stop)) {}

    // One file a run.
    template<class Write>
    void writeEach(const std::string& out, const Write& write) {
        if (out.empty()) {
            return;
        }
        std::vector<std::string> runs;
        for (const session::AnalysedRun& run : runs_) {
            runs.push_back(run.analysis.findings.run);
        }
        const std::vector<std::string> names = several_ ? namesForRuns(out, runs) : std::vector(runs.size(), out);
        for (std::size_t i = 0; i < runs_.size() && !stop_.stop_requested(); ++i) {
            note(names[i], write(runs_[i].analysis, names[i]));
        }
    }

    void writeReport(const std::string& out, const session::ReportWish& wish, const Progress& progress) {
        if (out.empty() || runs_.empty() || stop_.stop_requested()) {
            return;
        }
        std::vector<session::ReportRun> runs;
        for (const session::AnalysedRun& run : runs_) {
            runs.push_back(session::reportRunOf(run));
        }
        note(out, report::writeReport(std::move(runs), wish, out, progress));
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

    const std::vector<session::AnalysedRun>& runs_;
    bool several_;
    std::stop_token stop_;
};

std::string textOf(const std::vector<session::AnalysedRun>& runs, const std::vector<std::string>& written) {
    std::string text;
    for (const session::AnalysedRun& run : runs) {
        text += (text.empty() ? "" : "\n\n") + findingsText(run.analysis.findings);
    }
    text += runs.empty() ? "" : "\n  ± is half of the interval that holds the value with 95 % confidence.\n";
    for (const std::string& file : written) {
        text += "  Written: " + file + "\n";
    }
    return text;
}

ExitCode runAnalyse(const Wanted& wanted) {
    const StopSignal stop;
    ProgressLine progress;
    std::vector<session::FileOutcome> outcomes =
        session::analyseFiles(filesToOpen(wanted.runs), wanted.analysis, progress.teller(), stop.token());
    progress.wipe();
    std::vector<session::AnalysedRun> analysed;
    std::vector<Fault> faults;
    for (session::FileOutcome& outcome : outcomes) {
        if (outcome.result) {
            analysed.push_back(*std::move(outcome.result));
        } else {
            faults.insert(faults.end(), outcome.result.error().begin(), outcome.result.error().end());
        }
    }

    Writer writer(analysed, wanted.runs.files.size() > 1, stop.token());
    writer.writeEach(wanted.plot, [](const Analysis& analysis, const std::string& path) {
        return report::writePlot(analysis, path);
    });
    writer.writeEach(wanted.series, [](const Analysis& analysis, const std::string& path) {
        return session::writeSeries(analysis.series, path);
    });
    writer.writeEach(wanted.without_vessel, [&](const Analysis& analysis, const std::string& path) {
        return session::writeWithoutVessel(analysis, *wanted.energy_kj_per_mol, path);
    });
    writer.writeReport(wanted.report, wanted.report_wish, progress.teller());
    progress.wipe();
    faults.insert(faults.end(), writer.faults.begin(), writer.faults.end());
    addStopped(faults, stop.token());

    if (!wanted.json) {
        return finish(printText(textOf(analysed, writer.written)), faults);
    }
    nlohmann::ordered_json runs = nlohmann::ordered_json::array();
    for (const session::AnalysedRun& run : analysed) {
        runs.push_back(format::findingsJson(run.analysis));
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
    addRunFiles(*parser, wanted->runs);
    addJson(*parser, wanted->json);
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
              {.name = "--energy",
               .value = "E",
               .description = "activation energy of the cure, in kJ/mol, for --equivalent-at and --without-vessel"},
              wanted->energy_kj_per_mol);
    addNumber(*parser,
              {.name = "--energy-u",
               .value = "U",
               .description = fmt::format("its standard uncertainty, in kJ/mol ({})", default_energy_u_kj_per_mol)},
              wanted->energy_u_kj_per_mol);
    addNumber(*parser,
              {.name = "--draws",
               .value = "N",
               .description = fmt::format(
                   "draws of the Monte Carlo behind the intervals ({}; from 200 on of the heat too, say 1000)",
                   wanted->analysis.draws)},
              wanted->draws);
    addNumber(*parser,
              {.name = "--seed",
               .value = "N",
               .description = fmt::format("what the draws start from ({}): the same gives the same figures",
                                          wanted->analysis.seed)},
              wanted->seed);
    parser->add_option("--plot", wanted->plot, "annotated plot, as OUT.svg, OUT.pdf or OUT.png")->type_name("OUT");
    parser->add_option("--report", wanted->report, "report of all runs, as OUT.pdf or OUT.html")->type_name("OUT");
    wanted->sections = addNames(*parser,
                                {.name = "--sections",
                                 .value = "A,B,...",
                                 .description = "what the report is made of, in this order: " + sectionNames()},
                                wanted->section_names);
    addNumber(*parser,
              {.name = "--limit",
               .value = "T",
               .description = fmt::format("what the report's comparison of several runs keeps the peak under, in °C "
                                          "({})",
                                          session::usual_limit_c)},
              wanted->limit_c);
    parser
        ->add_option("--series", wanted->series,
                     "time, temperature, rate, heat and degree as CSV. With several files --plot and --series write "
                     "OUT-RUN.svg and OUT-RUN.csv for each run")
        ->type_name("OUT");
    parser
        ->add_option("--without-vessel", wanted->without_vessel,
                     "the rise of a pot that lost no heat as it would be without a vessel (phi 1), as CSV; needs "
                     "--energy")
        ->type_name("OUT");
    parser->footer("Example:\n  potwatch analyse rod-03.csv --at 300,600 --plot rod-03.svg --report rod-03.pdf");
    const auto run = [wanted] {
        check(*wanted);
        return runAnalyse(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
