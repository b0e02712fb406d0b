// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/wild/random.h"
#include "tests/wild/wild_run.h"

#include <vector>

namespace potwatch::wild {

// A way in which a bench leaves the analysis' model. `draw` makes the pot; `intervene`, where there is one, does what
// depends on how it went without (a quench after the peak), and is followed by a second simulation.
struct Kind {
    const char* name;
    void (*draw)(Draft&, Random&);
    void (*intervene)(Draft&, const std::vector<Moment>&, Random&) = nullptr;
};

const std::vector<Kind>& benchKinds(); // what is done to an acid-dosed pot
const std::vector<Kind>& resinKinds(); // other resins and other readings

// An acid-dosed pot that keeps to the model but for the exponent of its loss.
void drawPlain(Draft& draft, Random& random);
const Moment& peakOf(const std::vector<Moment>& history);

} // namespace potwatch::wild
