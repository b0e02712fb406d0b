// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/know_pot.h"
#include "analysis/values/batch.h"

#include <string>

namespace potwatch::session {

// What a hot-water run says, as [vessel] and [uncertainty] of a batch file; empty where it says nothing.
[[nodiscard]] std::string vesselToml(const PotKnowledge& known, const std::string& vessel);

// The same in words, a line a figure, each ending with a line break: for the terminal and the window.
[[nodiscard]] std::string knowledgeText(const PotKnowledge& known);

// The batch of the run with what it says of its vessel, as a blank: runs of the same vessel then learn from it.
[[nodiscard]] Batch batchWithKnowledge(Batch batch, const PotKnowledge& known, double water_g);

} // namespace potwatch::session
