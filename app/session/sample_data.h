// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <string>
#include <vector>

namespace potwatch::session {

// Writes the sample data into a folder, which is made if need be: README.md (the model and its numbers), and a CSV with
// its batch file for each run of sample_scenario.h. Returns the paths written, in that order. The same files every
// time. Errors: storage (the folder cannot be made, a file cannot be written: says why).
[[nodiscard]] Result<std::vector<std::string>> writeSampleData(const std::string& folder);

} // namespace potwatch::session
