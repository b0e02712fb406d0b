// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/forecast/adiabatic.h"
#include "analysis/values/findings.h"

#include <string>

namespace potwatch::session {

// The rise of a pot that lost no heat, as it would have been at phi 1, without a vessel to warm: from the first sample
// to the highest temperature. Assumes one activation energy [kJ/mol], above 0.
// Errors: missing (phi or the heat is not known; the pot lost more than a twentieth of its heat on the way, so that its
// trace is not adiabatic; nothing rises).
[[nodiscard]] Result<forecast::AdiabaticTrace> withoutVessel(const Analysis& analysis, double e_kj_per_mol);

// The same into a file, as CSV with the columns time_s and temperature_c.
// Errors: those, and storage.
[[nodiscard]] Result<void> writeWithoutVessel(const Analysis& analysis, double e_kj_per_mol, const std::string& path);

} // namespace potwatch::session
