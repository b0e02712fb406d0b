// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/compare.h"

#include <span>
#include <string>
#include <vector>

namespace potwatch::session {

// What stands in the scatter of a comparison, and what is to be said of the runs that do, or do not.

// Shape: one a run. Blanks, second heatings, runs without one of the figures and runs given twice do not count.
[[nodiscard]] std::vector<ScatterPoint> scatterOf(std::span<const compare::ComparedRun> runs,
                                                  std::span<const std::string> names, const compare::Figure& x,
                                                  const compare::Figure& y);

// "the runs differ in more than the dosing rate: resin (80 to 120 g), vessel (beaker, cup)"; empty where they do not.
[[nodiscard]] std::string otherDifferences(std::span<const compare::ComparedRun> runs,
                                           std::span<const ScatterPoint> scatter, const compare::Figure& x,
                                           const compare::Figure& y);

} // namespace potwatch::session
