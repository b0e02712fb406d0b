// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/compare.h"

#include <optional>

namespace potwatch::window {

class Settings;

// What was chosen on the page Compare, as it is kept between starts; at first dosing rate against peak temperature with
// the usual limit.
[[nodiscard]] session::CompareRequest rememberedRequest(const Settings& settings);
void remember(const session::CompareRequest& request, Settings& settings);

// The limit of peak temperatures that was chosen there (empty: none), the usual one where it is of something else.
[[nodiscard]] std::optional<double> rememberedPeakLimit(const Settings& settings);

} // namespace potwatch::window
