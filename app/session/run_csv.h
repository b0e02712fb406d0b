// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"
#include "analysis/values/run.h"

#include <stop_token>
#include <string>

namespace potwatch::session {

// A run's samples as a table that the importer reads back to the same doubles: names, a row of units, then a row a
// sample; numbers are the shortest that read back as the same double, a missing value is an empty cell. Cut off where
// it is stopped.
[[nodiscard]] std::string runCsv(const Run& run, const Progress& progress = {}, const std::stop_token& stop = {});

} // namespace potwatch::session
