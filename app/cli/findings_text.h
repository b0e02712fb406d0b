// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"

#include <string>

namespace potwatch::cli {

// The findings of one run as a table for a terminal of 80 columns: what, when and how hot; the heat; the cure; the
// warnings. ± is half the 95 % interval. What is not known says so.
[[nodiscard]] std::string findingsText(const Findings& findings);

} // namespace potwatch::cli
