// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/kinetic_fit.h"
#include "analysis/values/model_free.h"

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::format {

// What a kinetic fit says, as tables of short cells: the same on the command line and in the window. The first row is
// the heading. Shape: as many cells in every row as in the first.
using Table = std::vector<std::vector<std::string>>;

[[nodiscard]] std::string_view nameOf(RateModel model); // "autocatalytic"

// "d(degree)/dt = (c / 0.05)^p (k1 + k2 degree^m) (1 - degree)^n,  k = A exp(-E / (R T))".
[[nodiscard]] std::string lawText(const KineticFit& fit);
// Whether a catalyst counts in it.
[[nodiscard]] bool isCatalysed(const KineticFit& fit);

[[nodiscard]] Table parameterTable(const KineticFit& fit);
[[nodiscard]] Table correlationTable(const KineticFit& fit);
[[nodiscard]] Table runTable(const KineticFit& fit);
[[nodiscard]] Table modelTable(const KineticFit& fit);
[[nodiscard]] Table inputTable(const KineticFit& fit);
[[nodiscard]] Table adiabaticTable(const KineticFit& fit);     // in this pot: rise, MTSR, TMRad
[[nodiscard]] Table withoutVesselTable(const KineticFit& fit); // phi, and the same at phi = 1
[[nodiscard]] Table energyTable(const ModelFree& found);
[[nodiscard]] Table peakTable(const ConstantRateFindings& found);

// "left out: s05 from 529 s to 561 s: it boiled; ...".
[[nodiscard]] std::string leftOutSentence(const LeftOut& one);
// The run whose pot could have become hottest had dosing and cooling failed; null where none is dosed.
[[nodiscard]] const FittedRun* hottestFailure(const KineticFit& fit);
// What the columns of both adiabatic tables mean.
[[nodiscard]] std::vector<std::string> adiabaticNotes(const KineticFit& fit);

} // namespace potwatch::format
