// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/landmarks/exotherm.h"
#include "analysis/values/findings.h"

#include <optional>

namespace potwatch::landmarks {

struct BoilingPoint {
    double temperature_c = 100.0;
    bool stated =
        false; // for this resin; otherwise pure water's at the air pressure, and the resin's lies somewhat higher
};

// The stretch in which the pot boiled: where the resin stands above its stated boiling point by no more than superheat
// explains, or where it stands level near the boiling point for long after the rate broke off, within a fraction of
// that time and, unless the boiling point is stated, in a corner. Passing near the boiling point with a rounded top is
// not boiling. Source: energy balance of a boiling pot, evaporation k_b (T - T_b); thresholds: common practice, no
// source.
[[nodiscard]] std::optional<BoilPlateau> findBoilPlateau(const Course& course, const Rise& rise,
                                                         const BoilingPoint& boiling);

// The plateau between two times that a person states, with the mean temperature in between. Assumes: from_s < to_s.
[[nodiscard]] BoilPlateau plateauBetween(const Course& course, double from_s, double to_s);

} // namespace potwatch::landmarks
