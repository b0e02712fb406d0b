// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/run_choice.h"
#include "app/cli/text_table.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/session/calibrate_probe.h"
#include "app/session/recording.h"
#include "app/session/settings_folder.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <iterator>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;
using session::CalibrationKind;
using session::KnownProbe;

struct Wanted {
    session::OneRun run;
    std::string channel;
    std::string port;
    std::string instrument;
    std::string config;
    std::optional<double> pressure_kpa;
    bool json = false;
};

std::string folderOf(const Wanted& wanted) {
    return wanted.config.empty() ? session::settingsFolder(session::processEnvironment()) : wanted.config;
}

// By what the probes' device is known; a port that says nothing of itself is a fault with the way out.
Result<std::string> deviceOf(const Wanted& wanted) {
    if (!wanted.instrument.empty() || wanted.port.empty()) {
        return wanted.instrument;
    }
    std::string device = session::deviceBehind(wanted.port);
    if (device.empty()) {
        return tl::unexpected(Fault{.kind = FaultKind::device,
                                    .what = "no device on USB is behind it, by which it could be known again",
                                    .where = {.file = wanted.port},
                                    .remedy = "give it a name with --instrument, and `potwatch record` the same"});
    }
    return device;
}

std::string deviceText(const std::string& device) {
    return device.empty() ? "any device" : format::oneLine(device);
}

Json momentJson(const std::optional<WallTime>& moment) {
    return moment ? Json(format::wallTimeText(*moment)) : Json(nullptr);
}

Json numberJson(const std::optional<double>& value) {
    return value ? Json(*value) : Json(nullptr);
}

Json jsonOf(const KnownProbe& known) {
    const ProbeCalibration points = known.probe.calibration.value_or(ProbeCalibration());
    return Json{{"device", known.device.empty() ? Json(nullptr) : Json(known.device)},
                {"channel", known.probe.channel},
                {"ice_reading_c", numberJson(points.ice_reading_c)},
                {"ice_u_k", numberJson(points.ice_u_k)},
                {"ice_done", momentJson(points.ice_done)},
                {"boiling_reading_c", numberJson(points.boiling_reading_c)},
                {"boiling_u_k", numberJson(points.boiling_u_k)},
                {"boiling_pressure_kpa", numberJson(points.boiling_pressure_kpa)},
                {"boiling_done", momentJson(points.boiling_done)},
                {"lag_s", numberJson(known.probe.lag_s)},
                {"lag_u_s", numberJson(known.probe.lag_u_s)},
                {"lag_done", momentJson(known.probe.lag_done)}};
}

Json jsonOf(const session::ProbeMeasured& measured) {
    Json object = jsonOf(measured.known);
    object["true_c"] = numberJson(measured.true_c);
    object["from_s"] = measured.from_s;
    object["to_s"] = measured.true_c ? Json(measured.to_s) : Json(nullptr);
    object["readings"] = measured.true_c ? Json(measured.readings) : Json(nullptr);
    return object;
}

// The faults, in the form that was asked for, and nothing else.
ExitCode refuse(const Wanted& wanted, const std::vector<Fault>& faults) {
    return wanted.json ? finish(printJson(Json{{"format", 1}, {"faults", faultsJson(faults)}}), faults)
                       : finish({}, faults);
}

ExitCode measure(const Wanted& wanted, CalibrationKind kind) {
    checkRunChoice(wanted.run);
    const Result<std::string> device = deviceOf(wanted);
    if (!device) {
        return refuse(wanted, {device.error()});
    }
    tl::expected<session::OpenedRun, session::Faults> opened = session::openOneRun(wanted.run, true);
    tl::expected<std::vector<KnownProbe>, session::Faults> known = session::readCalibrations(folderOf(wanted));
    if (!opened || !known) {
        return refuse(wanted, asInputFaults(opened ? known.error() : opened.error()));
    }
    const session::CalibrationWanted calibration{
        .kind = kind, .device = *device, .pressure_kpa = wanted.pressure_kpa, .now = session::systemClock().wall()};
    const std::vector<std::string> channels =
        wanted.channel.empty() ? session::temperatureChannels(opened->run) : std::vector<std::string>{wanted.channel};
    auto [measured, faults] = session::measureProbes(opened->run, channels, calibration);
    std::string text;
    Json probes = Json::array();
    for (const session::ProbeMeasured& one : measured) {
        session::keep(*known, one.known);
        text += wrapped(format::oneLine(session::measuredText(one, kind)), 2) + '\n';
        probes.push_back(jsonOf(one));
    }
    const std::string path = session::calibrationFile(folderOf(wanted));
    bool is_kept = false;
    if (!probes.empty()) {
        const Result<void> written = session::writeCalibrations(folderOf(wanted), *known);
        is_kept = written.has_value();
        if (!written) {
            faults.push_back(written.error());
        }
    }
    if (wanted.json) {
        return finish(printJson(Json{{"format", 1},
                                     {"probes", std::move(probes)},
                                     {"kept", is_kept ? Json(path) : Json(nullptr)},
                                     {"warnings", opened->warnings},
                                     {"faults", faultsJson(faults)}}),
                      faults);
    }
    for (const std::string& warning : opened->warnings) {
        text += wrapped("Note: " + format::oneLine(warning), 2) + '\n';
    }
    if (is_kept) {
        text += fmt::format("Kept for {} in {}\n", deviceText(*device), path);
        text += device->empty() ? wrapped("`potwatch record` applies it to any device with such a channel; --port or "
                                          "--instrument keeps it for one.",
                                          0) +
                                      '\n'
                                : std::string();
    }
    return finish(printText(text), faults);
}

ExitCode list(const Wanted& wanted) {
    const tl::expected<std::vector<KnownProbe>, session::Faults> known = session::readCalibrations(folderOf(wanted));
    if (!known) {
        return refuse(wanted, asInputFaults(known.error()));
    }
    if (wanted.json) {
        Json probes = Json::array();
        std::transform(known->begin(), known->end(), std::back_inserter(probes),
                       [](const KnownProbe& one) { return jsonOf(one); });
        return finish(printJson(Json{{"format", 1},
                                     {"file", session::calibrationFile(folderOf(wanted))},
                                     {"probes", std::move(probes)},
                                     {"faults", Json::array()}}),
                      {});
    }
    if (known->empty()) {
        return finish(printText("No probe was calibrated yet: `potwatch calibrate --help` says how.\n"), {});
    }
    std::vector<std::vector<std::string>> rows{{"device", "channel", "in ice", "in boiling water", "lag"}};
    const WallTime now = session::systemClock().wall();
    std::string remarks;
    for (const KnownProbe& one : *known) {
        const session::KnownInWords words = session::inWords(one, now);
        const auto cell = [](const std::string& text) { return text.empty() ? std::string("-") : text; };
        rows.push_back({deviceText(one.device), format::oneLine(one.probe.channel), cell(words.in_ice),
                        cell(words.in_boiling_water), cell(words.lag)});
        if (!words.remark.empty()) {
            remarks += "  " + wrapped(format::oneLine(words.remark), 2) + '\n';
        }
    }
    return finish(printText(tableText(rows) + '\n' + remarks), {});
}

ExitCode forget(const Wanted& wanted) {
    demand("--channel NAME", !wanted.channel.empty());
    const Result<std::string> device = deviceOf(wanted);
    if (!device) {
        return refuse(wanted, {device.error()});
    }
    tl::expected<std::vector<KnownProbe>, session::Faults> known = session::readCalibrations(folderOf(wanted));
    if (!known) {
        return refuse(wanted, asInputFaults(known.error()));
    }
    const std::size_t gone = std::erase_if(
        *known, [&](const KnownProbe& one) { return one.device == *device && one.probe.channel == wanted.channel; });
    if (gone == 0) {
        return refuse(
            wanted, {{.kind = FaultKind::input,
                      .what = fmt::format("nothing is known of channel {} of {}", wanted.channel, deviceText(*device)),
                      .where = {.file = session::calibrationFile(folderOf(wanted))},
                      .remedy = "`potwatch calibrate list` shows what is"}});
    }
    const Result<void> written = session::writeCalibrations(folderOf(wanted), *known);
    if (!written) {
        return refuse(wanted, {written.error()});
    }
    return wanted.json
               ? finish(printJson(Json{{"format", 1}, {"forgotten", wanted.channel}, {"faults", Json::array()}}), {})
               : finish(printText(fmt::format("Forgotten: channel {} of {}. Runs that were recorded with it keep their "
                                              "copy.\n",
                                              format::oneLine(wanted.channel), deviceText(*device))),
                        {});
}

void addProbeOptions(CLI::App& parser, Wanted& wanted, const char* channel) {
    parser.add_option("--channel", wanted.channel, channel)->type_name("NAME");
    parser.add_option("--port", wanted.port, "the device's port: it is known again by its USB identity")
        ->type_name("PATH");
    parser.add_option("--instrument", wanted.instrument, "or a name for the device, the same for `potwatch record`")
        ->type_name("NAME");
}

CLI::App* addMeasuring(CLI::App& calibrate, Wanted& wanted, const char* name, const char* description) {
    CLI::App* parser = calibrate.add_subcommand(name, description)->group("Actions");
    addRunChoice(*parser, wanted.run);
    addProbeOptions(*parser, wanted, "the probe's column (else every temperature)");
    return parser;
}

} // namespace

Command addCalibrate(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser = program
                           .add_subcommand("calibrate", "find how far probes are off, from a recording of them in ice "
                                                        "water, in boiling water or plunged from one into the other")
                           ->group("Commands");
    parser->require_subcommand(0, 1);
    CLI::App* ice =
        addMeasuring(*parser, *wanted, "ice", "from probes that were left in melting ice, stirred, for three minutes");
    CLI::App* boiling = addMeasuring(*parser, *wanted, "boiling",
                                     "from probes that were left in boiling water for three minutes, off the bottom");
    addNumber(*boiling,
              {.name = "--pressure-kpa",
               .value = "P",
               .description = "the air's pressure on that day at your height, not reduced to sea level"},
              wanted->pressure_kpa);
    CLI::App* lag = addMeasuring(*parser, *wanted, "lag",
                                 "from probes that were put from hot water into ice water at once, stirred, and left "
                                 "there for a minute");
    CLI::App* shown = parser->add_subcommand("list", "show what is known of all probes")->group("Actions");
    CLI::App* forgotten = parser->add_subcommand("forget", "forget what is known of a probe")->group("Actions");
    addProbeOptions(*forgotten, *wanted, "the probe's column");
    ice->footer("Example:\n  potwatch record --port /dev/ttyUSB0 --name ice --for 3m\n"
                "  potwatch calibrate ice --run ice --port /dev/ttyUSB0");
    boiling->footer("Example:\n  potwatch calibrate boiling boiling.csv --pressure-kpa 98.2 --channel core_c");
    lag->footer("Example:\n  potwatch calibrate lag plunge.csv --channel core_c");
    for (CLI::App* action : {ice, boiling, lag, shown, forgotten}) {
        addJson(*action, wanted->json);
        action->add_option("--config", wanted->config, "where calibrations are kept (else the usual folder)")
            ->type_name("FOLDER");
    }
    parser->footer("Example:\n  potwatch calibrate ice ice.csv\n"
                   "  potwatch calibrate boiling boiling.csv --pressure-kpa 98.2\n"
                   "  potwatch calibrate list\n"
                   "`potwatch calibrate ACTION --help` says more.");
    const auto run = [=] {
        if (ice->parsed()) {
            return measure(*wanted, CalibrationKind::ice);
        }
        if (boiling->parsed()) {
            return measure(*wanted, CalibrationKind::boiling);
        }
        if (lag->parsed()) {
            return measure(*wanted, CalibrationKind::lag);
        }
        if (shown->parsed()) {
            return list(*wanted);
        }
        if (forgotten->parsed()) {
            return forget(*wanted);
        }
        throw CLI::RequiredError("ice, boiling, lag, list or forget");
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
