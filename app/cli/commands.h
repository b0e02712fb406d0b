// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/cli/exit_code.h"

#include <functional>

namespace CLI {
class App;
}

namespace potwatch::cli {

// A command of the program: its parser, which holds the options, and what it does once they are read. It throws a
// CLI::ParseError where the options do not go together; the command line catches it.
struct Command {
    const CLI::App* parser = nullptr;
    std::function<ExitCode()> run;
};

// Each adds one command to the program's parser.
[[nodiscard]] Command addAnalyse(CLI::App& program);
[[nodiscard]] Command addCompare(CLI::App& program);
[[nodiscard]] Command addFit(CLI::App& program);
[[nodiscard]] Command addForecast(CLI::App& program);
[[nodiscard]] Command addInspect(CLI::App& program);
[[nodiscard]] Command addBook(CLI::App& program);
[[nodiscard]] Command addRecord(CLI::App& program);
[[nodiscard]] Command addCalibrate(CLI::App& program);
[[nodiscard]] Command addKnowPot(CLI::App& program);
[[nodiscard]] Command addDevices(CLI::App& program);
[[nodiscard]] Command addPretend(CLI::App& program);
[[nodiscard]] Command addThermocouple(CLI::App& program);
[[nodiscard]] Command addDemoData(CLI::App& program);
[[nodiscard]] Command addDemo(CLI::App& program);

} // namespace potwatch::cli
