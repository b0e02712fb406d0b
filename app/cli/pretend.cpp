// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/cli/stop_signal.h"
#include "app/session/pretend_terminal.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <vector>

namespace potwatch::cli {
namespace {

using Json = nlohmann::ordered_json;

struct Wanted {
    std::string link;
    std::string protocol = "lines";
    std::string style = "comma";
    std::vector<std::string> faults;
    std::string csv;
    std::string duration;
    std::optional<double> rate_hz;
    std::optional<double> channels;
    std::optional<double> speed;
    std::optional<double> seed;
    bool json = false;
};

std::string wordsOf(const std::vector<std::string>& words) {
    return fmt::format("{}", fmt::join(words, ", "));
}

bool isWhole(const std::optional<double>& number) {
    constexpr double most = 1e9;
    return !number || (*number == std::floor(*number) && *number >= 0.0 && *number <= most);
}

void check(const Wanted& wanted) {
    if (wanted.protocol != "lines") {
        throw CLI::ValidationError("--protocol", "there is no protocol \"" + wanted.protocol + "\"; there is: lines");
    }
    if (!session::pretendStyleOf(wanted.style)) {
        throw CLI::ValidationError("--style", "there is no style \"" + wanted.style +
                                                  "\"; there are: " + wordsOf(session::pretendStyleWords()));
    }
    for (const std::string& fault : wanted.faults) {
        if (!session::pretendFaultOf(fault)) {
            throw CLI::ValidationError("--fault", "there is no fault \"" + fault +
                                                      "\"; there are: " + wordsOf(session::pretendFaultWords()));
        }
    }
    if (!isWhole(wanted.channels) || !isWhole(wanted.seed)) {
        throw CLI::ValidationError(isWhole(wanted.channels) ? "--seed" : "--channels", "write a whole number");
    }
    if (!wanted.duration.empty() && !secondsOf(wanted.duration)) {
        throw CLI::ValidationError("--for", "\"" + wanted.duration + "\" is no time; write 90s, 10m or 8h");
    }
}

session::PretendWanted deviceOf(const Wanted& wanted) {
    session::PretendWanted device{.style = *session::pretendStyleOf(wanted.style),
                                  .speed = wanted.speed.value_or(1.0),
                                  .faults = {},
                                  .csv = wanted.csv,
                                  .seed = static_cast<std::uint64_t>(wanted.seed.value_or(1.0))};
    device.rate_hz = wanted.rate_hz.value_or(device.rate_hz);
    device.channels = wanted.channels ? static_cast<std::size_t>(*wanted.channels) : device.channels;
    for (const std::string& fault : wanted.faults) {
        device.faults.push_back(*session::pretendFaultOf(fault));
    }
    return device;
}

Result<void> tellWhere(const Wanted& wanted, const session::PretendTerminal& terminal) {
    const std::string& shown = wanted.link.empty() ? terminal.path() : wanted.link;
    const Result<void> printed =
        wanted.json ? printJson(Json{{"format", 1},
                                     {"path", terminal.path()},
                                     {"link", wanted.link.empty() ? Json(nullptr) : Json(wanted.link)},
                                     {"faults", Json::array()}})
                    : printText(fmt::format("A pretend device sends lines on {}. Ctrl-C ends it. In another terminal:\n"
                                            "  potwatch record --port {}\n",
                                            shown, shown));
    std::fflush(stdout); // whoever started this in the background waits for it
    return printed;
}

// Plays until the end; steps of the device come in the order of their times.
Result<void> play(session::PretendDevice& device, session::PretendTerminal& terminal, std::optional<double> duration_s,
                  const std::stop_token& stop) {
    using namespace std::chrono_literals;
    using Clock = std::chrono::steady_clock;
    const Clock::time_point begun = Clock::now();
    const auto at = [&](double seconds) {
        return begun + std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds));
    };
    bool is_there = true;
    while (!stop.stop_requested()) {
        const session::PretendDevice::Step step = device.next();
        if (duration_s && step.at_s >= *duration_s) {
            return {};
        }
        for (Clock::time_point now = Clock::now(); now < at(step.at_s); now = Clock::now()) {
            if (stop.stop_requested()) {
                return {};
            }
            terminal.push();
            std::this_thread::sleep_until(std::min(at(step.at_s), now + 50ms));
        }
        if (step.is_hung_up == is_there) {
            is_there = !step.is_hung_up;
            if (!is_there) {
                terminal.hangUp();
            } else if (Result<void> back = terminal.comeBack(); !back) {
                return back;
            }
        }
        terminal.write(step.bytes);
    }
    return {};
}

ExitCode runPretend(const Wanted& wanted) {
    Result<session::PretendDevice> device = session::PretendDevice::make(deviceOf(wanted));
    Result<session::PretendTerminal> terminal = session::PretendTerminal::open(wanted.link);
    std::vector<Fault> faults;
    if (!device || !terminal) {
        faults.push_back(!device ? device.error() : terminal.error());
        return wanted.json
                   ? finish(printJson(Json{
                                {"format", 1}, {"path", nullptr}, {"link", nullptr}, {"faults", faultsJson(faults)}}),
                            faults)
                   : finish({}, faults);
    }
    const StopSignal stop;
    Result<void> done = tellWhere(wanted, *terminal).and_then([&] {
        return play(*device, *terminal, secondsOf(wanted.duration), stop.token());
    });
    if (!done) {
        faults.push_back(std::move(done.error()));
    } else if (stop.token().stop_requested()) {
        faults.push_back({.kind = FaultKind::cancelled, .what = "stopped; the pretend device is gone"});
    }
    return finish({}, faults);
}

} // namespace

Command addPretend(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("pretend", "pretend to be a device: a model cure on a pseudo-terminal, for practice")
            ->group("Commands");
    addJson(*parser, wanted->json);
    parser->add_option("--link", wanted->link, "a lasting name for the pseudo-terminal")->type_name("PATH");
    addNumber(*parser, {.name = "--rate", .value = "HZ", .description = "lines a second (2)"}, wanted->rate_hz);
    addNumber(*parser, {.name = "--channels", .value = "N", .description = "values in a line (2; of a model cure)"},
              wanted->channels);
    addNumber(*parser, {.name = "--speed", .value = "X", .description = "seconds of the cure in one second (1)"},
              wanted->speed);
    parser->add_option("--csv", wanted->csv, "a table to play instead of the model cure")->type_name("FILE");
    parser->add_option("--protocol", wanted->protocol, "how it speaks: lines (of text)")->type_name("NAME");
    parser->add_option("--style", wanted->style, "how a line is built: " + wordsOf(session::pretendStyleWords()))
        ->type_name("NAME");
    parser
        ->add_option("--fault", wanted->faults,
                     "what goes wrong, again and again: " + wordsOf(session::pretendFaultWords()) + "; may be repeated")
        ->type_name("KIND")
        ->delimiter(',');
    addNumber(*parser, {.name = "--seed", .value = "N", .description = "another draw of noise and faults (1)"},
              wanted->seed);
    parser->add_option("--for", wanted->duration, "how long: 90s, 10m, 8h (else until stopped)")->type_name("TIME");
    parser->footer("Example:\n  potwatch pretend --link /tmp/pot --speed 10 --fault hang-up\n"
                   "  potwatch record --port /tmp/pot");
    const auto run = [wanted] {
        check(*wanted);
        return runPretend(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
