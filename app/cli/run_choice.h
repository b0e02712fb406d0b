// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/one_run.h"

namespace CLI {
class App;
}

namespace potwatch::cli {

// FILE, or --run with --book; --thermocouple, --cold-junction and the options of every import.
void addRunChoice(CLI::App& parser, session::OneRun& target);

// Throws where neither FILE nor --run is given, or both.
void checkRunChoice(const session::OneRun& run);

// A book or a table that cannot be read is the input's fault.
[[nodiscard]] std::vector<Fault> asInputFaults(std::vector<Fault> faults);

} // namespace potwatch::cli
