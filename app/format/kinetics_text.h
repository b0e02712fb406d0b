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

// One line a degree under a head: degree, energy, runs, and the temperatures at which they passed it.
[[nodiscard]] std::vector<std::string> modelFreeLines(const ModelFree& found);

// What it comes to: the range of the energy, the catalyst's order, and whether one energy describes the whole cure.
[[nodiscard]] std::string modelFreeSentence(const ModelFree& found);

// "Kissinger: 99.9 ± 0.3 kJ/mol, 4 runs".
[[nodiscard]] std::string peakEnergySentence(const EnergyFromPeaks& found);

// What a fit comes to: how close the law follows the runs, what twice the catalyst does, whether the other law would do
// as well, and the worst that these pots could have come to.
[[nodiscard]] std::vector<std::string> fitSentences(const KineticFit& fit);

// "If no heat left the pot, it would cure fastest in 35 min, at 141 °C and 220 K/min. Rule of thumb, on the short side:
// 24 min."
[[nodiscard]] std::string timeToMaximumSentence(const TimeToMaximumRate& found);

// "If dosing and cooling failed now, the pot could reach 139 °C, above its boiling point of 100.5 °C."
[[nodiscard]] std::string mtsrSentence(double mtsr_c, const std::optional<double>& boiling_c);

} // namespace potwatch::format
