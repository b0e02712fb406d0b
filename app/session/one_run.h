// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/open.h"

#include <string>

namespace potwatch::session {

// One run, out of a table or out of a batch book.
struct OneRun {
    std::string file; // a table; empty = `run` of `book`
    OpenOptions open; // of the table
    std::string run;  // by its name or its UUID; of several with one name, the latest
    std::string book; // empty = the usual one
};

// Opens it ready for the analysis. uncorrected: as the probes read, whatever calibration is stated of them.
// Errors: those of openRun() and book::Book, input (the book has no such run).
[[nodiscard]] tl::expected<OpenedRun, Faults> openOneRun(const OneRun& wanted, bool uncorrected);

} // namespace potwatch::session
