// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/findings.h"

#include <string>

namespace potwatch::session {

// The traces behind the findings as CSV: a header of the fields' names, then a row a sample. The columns are always the
// same; a cell that is not known is empty. Numbers are the shortest that read back as the same double.
[[nodiscard]] std::string seriesCsv(const Series& series);

// The same into a file.
// Errors: storage, as writeWholeFile.
[[nodiscard]] Result<void> writeSeries(const Series& series, const std::string& path);

} // namespace potwatch::session
