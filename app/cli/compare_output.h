// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/compare.h"

#include <nlohmann/json_fwd.hpp>

#include <span>
#include <string>

namespace potwatch::cli {

// A comparison as tables of at most 80 columns, the trend's sentences and the warnings.
[[nodiscard]] std::string compareText(const session::Comparison& comparison);

// The same as the JSON object of `potwatch compare`: every figure of the catalogue in each row (null where it is
// unknown), in the row's "intervals" those that have one.
[[nodiscard]] nlohmann::ordered_json compareJson(const session::Comparison& comparison,
                                                 std::span<const compare::ComparedRun> runs);

} // namespace potwatch::cli
