// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/cli/exit_code.h"
#include "app/cli/run_files.h"

#include <string>
#include <vector>

namespace potwatch::cli {

// What `potwatch book` was asked to do.
struct BookWanted {
    std::string book;
    bool json = false;
    bool withdrawn = false;        // list: those that were deleted too
    RunFiles import;               // import
    std::vector<std::string> runs; // export: names or UUIDs; empty = all
    std::string into;              // export: the folder
    std::string repaired;          // check: where the repaired copy goes; empty = none
};

[[nodiscard]] ExitCode listBook(const BookWanted& wanted);
[[nodiscard]] ExitCode importIntoBook(const BookWanted& wanted);
[[nodiscard]] ExitCode exportFromBook(const BookWanted& wanted);
[[nodiscard]] ExitCode checkBook(const BookWanted& wanted);

// A book is an input to a command: that it is of a newer format is not this machine's fault.
[[nodiscard]] Fault asBookFault(Fault fault);

// "2 notices" of opening a book, a line each, for the text that a command prints.
[[nodiscard]] std::string noticesText(const std::vector<std::string>& notices);

} // namespace potwatch::cli
