// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/analyse_files.h"
#include "app/session/open.h"

#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace potwatch::cli {

// The runs that a command reads: tables with what is known of them. The same in every command that opens runs.
struct RunFiles {
    std::vector<std::string> files;
    std::vector<std::string> batch_files; // one for all, or one for each
    session::OpenOptions open;
};

// FILE..., --batch, --channel, --thermocouple, --cold-junction and the options of every import.
void addRunFiles(CLI::App& parser, RunFiles& target);

// Throws where no file is named, or the batch files do not go with the files.
[[nodiscard]] std::vector<session::FileToOpen> filesToOpen(const RunFiles& runs);

// Every file that is read for them: tables, batch files, and those beside the tables.
[[nodiscard]] std::vector<std::string> inputsOf(const RunFiles& runs);

} // namespace potwatch::cli
