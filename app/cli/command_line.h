// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace potwatch::cli {

// Runs one command line and returns the exit code: 0 success, 1 the input is at fault, 2 wrong usage, 3 device or
// storage, 4 the data do not give the answer, 130 stopped.
[[nodiscard]] int run(int argc, char** argv);

} // namespace potwatch::cli
