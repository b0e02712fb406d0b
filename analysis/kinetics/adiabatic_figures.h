// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/kinetics/joint_fit.h"
#include "analysis/kinetics/lack_of_fit.h"
#include "analysis/values/adiabatic.h"

#include <cstddef>

namespace potwatch::kinetics {

// What the run at that place of the fit would have come to without heat loss. Intervals by linear propagation of the
// fit's covariance, so that what moves heat and heat capacity together hardly moves their quotient; those of the times
// in their logarithm. For the highest temperature the state of the pot at its moment counts as measured.
// An interval reaches from the fit's to the one that it would have with the departures of `lack`, where there is one,
// since most of what they change in a figure may leave no mark in the residuals.
// Source: JCGM 100:2008, 5.2.2; the figures as in analysis/forecast/adiabatic.h.
[[nodiscard]] AdiabaticFigures adiabaticFigures(const JointFit& fit, const PotRun& run, const findings::RunStudy& study,
                                                std::size_t place, const std::optional<LackOfFit>& lack);

} // namespace potwatch::kinetics
