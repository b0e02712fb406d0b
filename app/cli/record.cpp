// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/findings/analyse.h"
#include "analysis/thermocouple/calibration.h"
#include "app/cli/commands.h"
#include "app/cli/findings_text.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/record_face.h"
#include "app/cli/stop_signal.h"
#include "app/format/fault_text.h"
#include "app/session/book_runs.h"
#include "app/session/calibrations.h"
#include "app/session/recording.h"
#include "app/session/settings_folder.h"
#include "io/batch/batch_file.h"
#include "io/csv/vocabulary.h"
#include "io/kinetics/kinetics_file.h"
#include "io/serial/device_file.h"
#include "io/serial/port/port_source.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <unistd.h>
#include <vector>

namespace potwatch::cli {
namespace {

constexpr std::chrono::seconds patience{30}; // with a book that takes nothing, once the run has ended

struct Wanted {
    std::string port;
    std::string from;
    std::string protocol = "lines";
    std::string device;
    std::string book;
    std::string batch;
    std::string name;
    std::string unit;
    std::string channel;
    std::string duration;
    std::string kinetics;
    std::string config;
    std::string instrument;
    std::vector<std::string> on_warning;
    std::optional<double> limit_c;
    bool json = false;
};

void check(const Wanted& wanted) {
    if (wanted.port.empty() == wanted.from.empty()) {
        throw CLI::RequiredError("--port PATH, or --from - for lines on standard input,");
    }
    if (!wanted.from.empty() && wanted.from != "-") {
        throw CLI::ValidationError("--from",
                                   "only - (standard input) can be read from; a table is imported by `potwatch "
                                   "book FILE import`");
    }
    if (wanted.protocol != "lines") {
        throw CLI::ValidationError("--protocol", "there is no protocol \"" + wanted.protocol + "\"; there is: lines");
    }
    if (!wanted.duration.empty() && !secondsOf(wanted.duration)) {
        throw CLI::ValidationError("--for", "\"" + wanted.duration + "\" is no time; write 90s, 10m or 8h");
    }
    if (!wanted.unit.empty() && csv::unitOf(wanted.unit).empty()) {
        throw CLI::ValidationError("--unit", "there is no unit \"" + wanted.unit + "\"; write degC, degF, K or mV");
    }
}

// All that the options name, read; or every fault of it.
struct Prepared {
    serial::Device device;
    session::RunWanted run;
    std::vector<Fault> faults;
};

template<class T>
void take(tl::expected<T, std::vector<Fault>>&& read, T& into, std::vector<Fault>& faults) {
    if (read) {
        into = std::move(*read);
    } else {
        std::move(read.error().begin(), read.error().end(), std::back_inserter(faults));
    }
}

Prepared prepare(const Wanted& wanted) {
    Prepared prepared;
    if (!wanted.device.empty()) {
        take(serial::readDeviceFile(wanted.device), prepared.device, prepared.faults);
    }
    if (!wanted.batch.empty()) {
        take(batch::readFile(wanted.batch), prepared.run.batch, prepared.faults);
    }
    if (!wanted.kinetics.empty()) {
        Kinetics kinetics;
        take(kinetics_file::readFile(wanted.kinetics), kinetics, prepared.faults);
        prepared.run.watch.kinetics = std::move(kinetics);
    }
    std::vector<session::KnownProbe> known;
    take(session::readCalibrations(wanted.config.empty() ? session::settingsFolder(session::processEnvironment())
                                                         : wanted.config),
         known, prepared.faults);
    prepared.run.calibrations = session::calibrationsFor(
        known, wanted.instrument.empty() ? session::deviceBehind(wanted.port) : wanted.instrument);
    for (const Probe& probe : prepared.run.batch.probes) {
        if (const auto correction = thermocouple::correctionOf(probe.calibration.value_or(ProbeCalibration()));
            !correction) {
            prepared.faults.push_back(correction.error());
            prepared.faults.back().where = {.file = wanted.batch, .channel = probe.channel};
        }
    }
    for (Fault& fault : prepared.faults) {
        fault.kind = fault.kind == FaultKind::storage ? FaultKind::input : fault.kind; // it is the input that fails
    }
    if (!wanted.unit.empty()) {
        prepared.device.unit = csv::unitOf(wanted.unit);
    }
    if (!wanted.channel.empty()) {
        prepared.run.batch.pot_channel = wanted.channel;
    }
    prepared.run.name = wanted.name;
    prepared.run.warning_command = wanted.on_warning;
    prepared.run.watch.limit_c = wanted.limit_c;
    prepared.run.book = wanted.book.empty() ? session::defaultBookPath() : wanted.book;
    if (prepared.run.book.empty()) {
        prepared.faults.push_back({.kind = FaultKind::input,
                                   .what = "there is no home folder, and so no usual place for the book",
                                   .where = {},
                                   .remedy = "name a book with --book"});
    }
    return prepared;
}

// Watches a recording until it has ended, and ends it when it is time.
void follow(session::Recording& recording, RecordFace& face, const Wanted& wanted, const std::stop_token& stop) {
    using namespace std::chrono_literals;
    const std::optional<double> duration_s = secondsOf(wanted.duration);
    const auto begun = std::chrono::steady_clock::now();
    bool is_stopping = false;
    const auto end = [&] {
        if (!std::exchange(is_stopping, true)) {
            recording.stop(patience);
        }
    };
    while (!face.hasEnded()) {
        const session::RecordingState state = recording.state();
        face.show(state);
        const bool is_recording = state.phase >= session::RecordingState::Phase::recording;
        const double waited_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
        if (stop.stop_requested() || face.wantsToEnd()) {
            end();
        } else if (duration_s && (is_recording ? state.now_s : waited_s) >= *duration_s) {
            end();
        }
        face.takeKeys(recording);
        std::this_thread::sleep_for(50ms);
    }
    face.show(recording.state());
}

// What the analysis finds in the run as it stands in the book; or why it finds nothing. No text where it was stopped.
std::string findingsOf(const std::string& book, const book::RunId& id, const std::stop_token& stop) {
    const auto nothing = [](const Fault& fault) {
        return fmt::format("\nNo findings. {}\n", format::faultText(fault));
    };
    Result<book::Opened> opened = book::Book::open(book, book::Access::read);
    if (!opened) {
        return nothing(opened.error());
    }
    Result<book::StoredRun> stored = opened->book.read(id);
    if (!stored) {
        return nothing(stored.error());
    }
    const tl::expected<session::OpenedRun, session::Faults> run = session::openStored(std::move(*stored));
    if (!run) {
        return nothing(run.error().front());
    }
    constexpr double shortest_s = 1.0;
    const std::vector<double>& time_s = run->run.time_s;
    if (const double span_s = time_s.empty() ? shortest_s : time_s.back() - time_s.front(); span_s < shortest_s) {
        return nothing({.what = fmt::format("all that was recorded came within {:.1f} s", span_s),
                        .remedy = "record for longer; a table that is whole already is imported by `potwatch book FILE "
                                  "import TABLE`"});
    }
    const std::vector<Result<Analysis>> analyses = analyse({&run->run, 1}, {}, {}, stop);
    if (stop.stop_requested()) {
        return {};
    }
    if (!analyses.front()) {
        return nothing(analyses.front().error());
    }
    return "\n" + findingsText(analyses.front()->findings) +
           "\n  ± is half of the interval that holds the value with 95 % confidence.\n";
}

ExitCode runRecord(const Wanted& wanted) {
    Prepared prepared = prepare(wanted);
    Result<std::unique_ptr<serial::ByteSource>> source = wanted.port.empty()
                                                             ? serial::descriptorSource(STDIN_FILENO, "standard input")
                                                             : serial::portSource(wanted.port, prepared.device.port);
    if (!source) {
        prepared.faults.push_back(source.error());
    }
    RecordFace face(wanted.json, wanted.from.empty(), prepared.run.batch);
    if (!prepared.faults.empty()) {
        return face.finish(std::move(prepared.faults), prepared.run.book);
    }
    std::vector<Fault> faults;
    bool leaves = false; // a closed terminal or a request to terminate wants no findings any more
    {
        const StopSignal stop(patience + std::chrono::seconds(5));
        session::Recording recording(std::move(*source), prepared.device, prepared.run,
                                     [&](session::RecordingNews news) { face.take(std::move(news)); });
        follow(recording, face, wanted, stop.token());
        if (!face.ended().book.empty()) {
            prepared.run.book = face.ended().book;
        }
        if (stop.token().stop_requested()) {
            faults.push_back({.kind = FaultKind::cancelled, .what = "stopped; what was recorded is in the book"});
            leaves = !stop.wasInterrupt();
        }
    }
    std::string findings;
    if (!wanted.json && !leaves && !face.ended().id.empty()) {
        const StopSignal stop; // all is in the book by now: whoever stops the findings is not kept waiting
        findings = findingsOf(prepared.run.book, face.ended().id, stop.token());
        if (stop.token().stop_requested()) {
            faults.assign(1, {.kind = FaultKind::cancelled,
                              .what = "stopped before the findings were there; what was recorded is in the book"});
        }
    }
    return face.finish(std::move(faults), prepared.run.book, findings);
}

} // namespace

Command addRecord(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser = program.add_subcommand("record", "record a live cure from a serial device into a batch book")
                           ->group("Commands");
    addJson(*parser, wanted->json);
    parser->add_option("--port", wanted->port, "the device's port; `potwatch devices` lists them")->type_name("PATH");
    parser->add_option("--from", wanted->from, "- reads lines on standard input instead")->type_name("-");
    parser->add_option("--protocol", wanted->protocol, "how the device speaks: lines (of text)")->type_name("NAME");
    parser
        ->add_option("--device", wanted->device,
                     "device file: speed, and how its lines are built; without one that is found by looking")
        ->type_name("FILE");
    parser->add_option("--book", wanted->book, "the batch book; made if need be (else the usual one)")
        ->type_name("FILE");
    parser->add_option("--batch", wanted->batch, "batch file: what is known of the pot")->type_name("FILE");
    parser->add_option("--name", wanted->name, "the run's name (else the batch's, else the date)")->type_name("TEXT");
    parser->add_option("--channel", wanted->channel, "the reacting mass (else the first temperature)")
        ->type_name("NAME");
    parser
        ->add_option("--instrument", wanted->instrument,
                     "the name under which its probes were calibrated (else found by its USB identity)")
        ->type_name("NAME");
    parser->add_option("--config", wanted->config, "where the calibrations are kept (else the usual folder)")
        ->type_name("FOLDER");
    parser->add_option("--unit", wanted->unit, "of values that come without one (degC)")->type_name("UNIT");
    parser->add_option("--for", wanted->duration, "how long: 90s, 10m, 8h (else until stopped)")->type_name("TIME");
    addNumber(*parser, {.name = "--limit", .value = "T", .description = "warn before this temperature, in °C (95)"},
              wanted->limit_c);
    parser
        ->add_option("--forecast", wanted->kinetics,
                     "kinetics file of `potwatch fit`: says until when it helps to stop the dose")
        ->type_name("FILE");
    parser
        ->add_option(
            "--on-warning", wanted->on_warning,
            "a program that a warning runs, and after it its arguments, --on-warning before each; what the "
            "warning says comes last. No shell. It is started anew for each warning, also while an earlier one "
            "still runs (four at once at most)")
        ->type_name("WORD")
        ->allow_extra_args(false);
    parser->footer("Potwatch is no safety device: stay at the pot.\n"
                   "Example:\n  potwatch record --port /dev/ttyUSB0 --batch rod-03.batch.toml --limit 90\n"
                   "  some-logger | potwatch record --from - --for 8h");
    const auto run = [wanted] {
        check(*wanted);
        return runRecord(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
