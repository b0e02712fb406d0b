// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <span>
#include <string>
#include <vector>

namespace potwatch::cli {

// What an option writes; decides what may stand under its name already.
enum class Written { picture, report, table, kinetics, batch };

// An output that a person names on the command line.
struct OutputName {
    std::string option; // "--plot"
    std::string path;   // empty = no output
    Written writes = Written::table;
    std::vector<std::string> endings; // one of them, where there are any
};

// Throws where a name has none of the endings, is one of the files that are read (under whatever name or link), or
// holds something other than what is written there: a name mistyped must not cost a recording or a batch file.
void checkOutput(const OutputName& output, std::span<const std::string> inputs);

} // namespace potwatch::cli
