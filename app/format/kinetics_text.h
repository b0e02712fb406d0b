// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/adiabatic.h"
#include "analysis/values/findings.h"
#include "analysis/values/kinetic_fit.h"
#include "analysis/values/model_free.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::format {

// Sentences for a resin maker on activation energies and on what a pot without heat loss would do: the same on the
// command line, in the window and in the report. UTF-8, numbers as number.h writes them.

// "50.7 ± 1.2 kJ/mol".
[[nodiscard]] std::string energyText(const Estimate& e_kj_per_mol);

// "2 h 5 min (1 h 40 min to 2 h 35 min) at 60.0 °C".
[[nodiscard]] std::string equivalentText(const EquivalentTime& equivalent);

// What it comes to: the range of the energy, the catalyst's order, and whether one energy describes the whole cure.
[[nodiscard]] std::string modelFreeSentence(const ModelFree& found);

// What a fit comes to: how close the law follows the runs, what twice the catalyst does, whether the other law would do
// as well, and the worst that these pots could have come to.
[[nodiscard]] std::vector<std::string> fitSentences(const KineticFit& fit);

} // namespace potwatch::format
