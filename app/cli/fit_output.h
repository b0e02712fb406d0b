// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/fit_files.h"

#include <nlohmann/json_fwd.hpp>

#include <string>

namespace potwatch::cli {

// What a fit says, as tables of at most 80 columns.
[[nodiscard]] std::string fitText(const session::FittedFiles& fitted);

// The same as the JSON object of `potwatch fit`: names of parameters as in the kinetics file; figures that a run's
// curves need (series) are left out.
[[nodiscard]] nlohmann::ordered_json fitJson(const session::FittedFiles& fitted);

} // namespace potwatch::cli
