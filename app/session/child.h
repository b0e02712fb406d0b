// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>
#include <sys/types.h>
#include <vector>

namespace potwatch::session {

// Starts a program, found on the PATH, with its arguments: without a shell, in a process group of its own (Ctrl-C in
// the terminal is not for it), with no signal held back; it reads from the descriptor, and what it says is lost.
// Whoever starts it waits for its end. Errors: input (there is no such program, or it may not be run).
[[nodiscard]] Result<pid_t> startChild(const std::vector<std::string>& words, int standard_input);

} // namespace potwatch::session
