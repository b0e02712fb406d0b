// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/cure/degree.h"
#include "analysis/findings/analyse.h"
#include "analysis/findings/inputs.h"
#include "analysis/findings/prepare.h"
#include "analysis/findings/vessel.h"
#include "analysis/heat/balance.h"
#include "analysis/landmarks/exotherm.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::findings {

// What the piece of a second heating released when it was cured first, scaled to this run's resin.
struct FirstHeating {
    std::string run;
    cure::ReleasedHeat released;
    double start_degree = 0.0;
};

// One run on its way to its findings: smoothed, its rises found, its own cooling fitted. What other runs of the vessel
// know can be added before it is finished.
struct RunStudy {
    const Run* run = nullptr;
    Prepared prepared;
    Inputs inputs;
    landmarks::Curves curves;
    std::vector<landmarks::Rise> rises;
    std::size_t main_rise = 0; // the one that peaks hottest
    std::optional<BoilPlateau> plateau;
    std::vector<LandmarkKind> by_hand; // landmarks that stand where the person put them
    bool surroundings_known = false;
    heat::BalanceProblem problem;
    std::optional<heat::Balance> balance; // nothing where the surroundings are not known or the heat is withdrawn
    std::string heat_withdrawn;           // why; empty = it is not
    std::string loss_from;                // where the loss was learnt beyond this run; empty = nowhere
    std::vector<std::string> warnings;
    std::optional<FirstHeating> first_heating; // of a second heating, where the first one is analysed beside it
};

// Errors: as prepare and inputsOf.
[[nodiscard]] Result<RunStudy> study(const Run& run, const AnalyseOptions& options);

// What this run's own cooling says of its vessel; nothing where it does not cool, or masses are not known.
[[nodiscard]] std::optional<VesselEvidence> evidenceOf(const RunStudy& study);

// Takes over what blanks of the vessel, or other runs of it, say of the loss, and balances the heat anew.
void learnFromBlanks(RunStudy& study, const CommonLoss& blanks);
void learnFromRuns(RunStudy& study, const CommonLoss& runs);

[[nodiscard]] Analysis finish(const RunStudy& study, const AnalyseOptions& options, std::stop_token stop);

} // namespace potwatch::findings
