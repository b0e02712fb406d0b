// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <span>

namespace potwatch::cli {

// What the program returns to the shell.
enum class ExitCode : int {
    success = 0,
    input = 1, // the input is at fault
    usage = 2, // wrong usage
    deviceOrStorage = 3,
    noAnswer = 4, // the data do not give the answer
    stopped = 130,
};

// The one table from kinds of fault to exit codes.
[[nodiscard]] ExitCode exitCodeOf(FaultKind kind);

// Of several faults, the code that matters most: stopped, then storage, then input, then no answer; success if there is
// none.
[[nodiscard]] ExitCode exitCodeOf(std::span<const Fault> faults);

} // namespace potwatch::cli
