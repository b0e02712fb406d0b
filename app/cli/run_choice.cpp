// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/run_choice.h"

#include "app/cli/options.h"

#include <CLI/CLI.hpp>

namespace potwatch::cli {

void addRunChoice(CLI::App& parser, session::OneRun& target) {
    parser.add_option("FILE", target.file, "the recorded table; - is standard input")->type_name("");
    parser.add_option("--run", target.run, "a run of the batch book instead, by its name")->type_name("NAME");
    parser.add_option("--book", target.book, "that book (else the usual one)")->type_name("FILE");
    parser.add_option("--thermocouple", target.open.thermocouple, "type behind columns in millivolts: B E J K N R S T")
        ->type_name("TYPE");
    parser
        .add_option("--cold-junction", target.open.cold_junction, "its temperature in °C, or the column that reads it")
        ->type_name("T");
    addImportOptions(parser, target.open.import);
}

void checkRunChoice(const session::OneRun& run) {
    demand("FILE, or --run NAME of a batch book,", !run.file.empty() || !run.run.empty());
    if (!run.file.empty() && !run.run.empty()) {
        throw CLI::ValidationError("--run", "give either FILE or --run NAME");
    }
}

std::vector<Fault> asInputFaults(std::vector<Fault> faults) {
    for (Fault& fault : faults) {
        const bool is_input = fault.kind == FaultKind::storage || fault.kind == FaultKind::unsupported;
        fault.kind = is_input ? FaultKind::input : fault.kind;
    }
    return faults;
}

} // namespace potwatch::cli
