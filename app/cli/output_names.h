// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/file_name.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch::cli {

// The files that a command writes for each of several runs: "OUT-rod-03.svg" for OUT.svg and the run "rod 03".
// Characters that do not belong in a file's name become a dash; runs of one name are told apart by a number. Shape: one
// name a run, in their order.
[[nodiscard]] std::vector<std::string> namesForRuns(const std::string& out, std::span<const std::string> runs);

// A run's name as part of a file's name.
using session::asFileName;

// The ending of a path in lower case, with its dot: ".svg"; empty where there is none.
[[nodiscard]] std::string endingOf(const std::string& path);

} // namespace potwatch::cli
