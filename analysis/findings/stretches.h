// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/analyse_run.h"
#include "analysis/landmarks/curves.h"

namespace potwatch::findings {

// Reads off the events which part of a run can be balanced, how it falls into stretches with a loss and a heater of
// their own, and where the pot cools undisturbed; all go into study.problem, what has to be said into study.warnings.
// study.heat_withdrawn says why there can be no heat. A quench and a demoulding end the balance, an oven too where no
// channel follows it. A pour leaves the vessel behind; what the mould takes up is not stated, so between nothing and
// what the vessel does. A plate whose power nobody states ends the heat, unless the pot was taken off it: then the
// balance begins there. Factors between the losses of two stretches: common practice, no source.
// Assumes: study.rises, study.plateau and study.problem.surroundings_c are found.
void findStretches(RunStudy& study, const landmarks::Course& course);

} // namespace potwatch::findings
