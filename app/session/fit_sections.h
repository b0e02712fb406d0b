// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/format/fit_tables.h"
#include "app/session/fit_files.h"

#include <string>
#include <vector>

namespace potwatch::session {

// A part of what a fit says: a title, sentences, a table, and what is to be said of the table.
struct FitSection {
    std::string title; // empty = goes on with what stands before
    std::vector<std::string> before;
    format::Table table; // may be empty
    std::vector<std::string> after;
};

// "autocatalytic law from 7 runs".
[[nodiscard]] std::string fitTitle(const FittedFiles& fitted);

// All of it, in the order in which it is read; the warnings are apart.
[[nodiscard]] std::vector<FitSection> fitSections(const FittedFiles& fitted);
[[nodiscard]] std::vector<std::string> fitWarnings(const FittedFiles& fitted);

} // namespace potwatch::session
