// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/kinetic_fit.h"
#include "analysis/values/run.h"
#include "tests/wild/pot.h"

#include <cstdint>
#include <string>
#include <vector>

// Several runs of one resin in one vessel, for tests of the fit. The pots are drawn and integrated by tests/wild, which
// shares no code with the analysis.
namespace potwatch::reference {

// Shape: an entry a run in both.
struct PotSet {
    std::vector<wild::Pot> pots;
    std::vector<Run> runs; // as they were read, each stated figure off as its uncertainty says
};

// The n-th set of a kind of tests/wild, of so many runs; the same for the same numbers. "plain" and "slow-epoxy" keep
// to the law and the balance that the fit knows. Throws std::runtime_error where no such pots could be drawn.
PotSet potSet(const std::string& kind, std::uint64_t seed, int n, int runs);

// By how much the pot would warm if no heat left it, with its whole dose in from the start [K].
double trueAdiabaticRise(const wild::Pot& pot);

// A figure of the fit less its truth; nothing where the fit does not have it. E [kJ/mol] and ln k of the first and the
// second path, k in the middle of the temperatures at which it cured.
struct LawOff {
    Estimate e1;
    Estimate e2;
    Estimate log_k1;
    Estimate log_k2;
    bool false_law = false; // an E off by half and more, and outside of its interval
};
LawOff lawOff(const KineticFit& fit, const wild::Pot& pot);

} // namespace potwatch::reference
