// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/command_line.h"

#include "app/cli/commands.h"
#include "app/cli/exit_code.h"
#include "app/cli/help_format.h"
#include "app/cli/output.h"
#include "app/cli/stop_signal.h"
#include "app/window/open_window.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <string>
#include <string_view>
#include <system_error>
#include <vector>

namespace potwatch::cli {
namespace {

void complain(std::string_view text) {
    fmt::print(stderr, "potwatch: {}\n", text);
}

std::string noSuchCommand(const std::string& word) {
    return fmt::format("there is no command \"{}\"", word);
}

// A word without a command before it names a file where one is there, or where it is written as one.
bool looksLikeAFile(const std::string& word) {
    std::error_code ignored;
    return word.find_first_of("./") != std::string::npos || std::filesystem::exists(word, ignored);
}

// The window, with the files named; a name that no file has is refused before it opens.
ExitCode runWindow(const std::string& program, window::WindowOptions options) {
    for (const std::string& file : options.files) {
        if (!looksLikeAFile(file)) {
            complain(noSuchCommand(file) + "; see `potwatch --help`");
            return ExitCode::usage;
        }
        std::error_code error;
        if (!std::filesystem::exists(file, error)) {
            return finish({}, std::vector<Fault>{{.kind = FaultKind::input,
                                                  .what = "there is no such file",
                                                  .where = {.file = file},
                                                  .remedy = "check the name"}});
        }
    }
    const StopSignal stop(std::chrono::seconds(35)); // a recording is written whole first
    options.stop = stop.token();
    const Result<int> code = window::openWindow(program, options);
    if (!code) {
        return finish({}, std::vector<Fault>{code.error()});
    }
    return static_cast<ExitCode>(*code);
}

// What was wrong with the words, in one line; the parser's own message may run over several.
std::string whatIsWrong(const CLI::App& program, const CLI::ParseError& error, int argc, char** argv) {
    if (argc > 1 && argv[1][0] != '-' && program.get_subcommands().empty() && !looksLikeAFile(argv[1])) {
        return noSuchCommand(argv[1]);
    }
    std::string text = error.what();
    text.erase(text.find_last_not_of('\n') + 1);
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

std::string helpOf(const CLI::App& program) {
    const auto chosen = program.get_subcommands();
    return chosen.empty() ? "potwatch --help" : "potwatch " + chosen.front()->get_name() + " --help";
}

ExitCode parseAndRun(int argc, char** argv) {
    CLI::App program("Potwatch turns the recorded temperatures of a curing resin into onset, peak, heat and degree of "
                     "cure, each with its uncertainty. It is no safety device.");
    program.name("potwatch");
    program.formatter(helpFormat());
    program.set_version_flag("--version", "potwatch " POTWATCH_VERSION, "print the version");
    program.set_help_flag("-h,--help", "print this help");
    program.require_subcommand(0, 1);
    window::WindowOptions wanted;
    program.add_option("FILE", wanted.files, "opens the window on tables, batch files or a batch book")->type_name("");
    program.add_option("--book", wanted.book, "the batch book of the window; it is made if need be")->type_name("FILE");
    program.add_option("--config", wanted.config, "where the window keeps its settings")->type_name("FOLDER");
    program.footer("`potwatch COMMAND --help` says more, with an example.\n"
                   "Exit: 0 success, 1 the input is at fault, 2 wrong usage, 3 device or storage,\n"
                   "4 the data do not give the answer, 130 stopped.");
    const std::vector<Command> commands{
        addAnalyse(program), addCompare(program),      addFit(program),     addForecast(program),  addInspect(program),
        addRecord(program),  addDevices(program),      addPretend(program), addCalibrate(program), addKnowPot(program),
        addBook(program),    addThermocouple(program), addDemo(program),    addDemoData(program)};
    try {
        program.parse(argc, argv);
        for (const Command& command : commands) {
            if (command.parser->parsed()) {
                return command.run();
            }
        }
    } catch (const CLI::CallForHelp&) {
        return finish(printText(program.help()), {});
    } catch (const CLI::CallForVersion&) {
        return finish(printText("potwatch " POTWATCH_VERSION "\n"), {});
    } catch (const CLI::ParseError& error) {
        complain(whatIsWrong(program, error, argc, argv) + "; see `" + helpOf(program) + "`");
        return ExitCode::usage;
    }
    return runWindow(argc > 0 ? argv[0] : "potwatch", wanted);
}

} // namespace

int run(int argc, char** argv) {
    try {
        return static_cast<int>(parseAndRun(argc, argv));
    } catch (const std::bad_alloc&) {
        complain("the memory of this machine does not suffice; cut the file into parts");
    } catch (const std::exception& error) {
        complain(std::string("this is a fault of the program, not of your data: ") + error.what());
    }
    return static_cast<int>(ExitCode::deviceOrStorage);
}

} // namespace potwatch::cli
