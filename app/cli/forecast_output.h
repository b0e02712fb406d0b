// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/forecast/mould_job.h"

#include <nlohmann/json_fwd.hpp>

#include <string>

namespace potwatch::cli {

// A mould's forecast as text, as JSON (format 1, the keys in the README), and its core and skin against time as CSV.
[[nodiscard]] std::string mouldText(const forecast::MouldAnswer& answer);
[[nodiscard]] nlohmann::ordered_json mouldJson(const forecast::MouldAnswer& answer);
[[nodiscard]] std::string mouldSeriesCsv(const forecast::MouldAnswer& answer);

} // namespace potwatch::cli
