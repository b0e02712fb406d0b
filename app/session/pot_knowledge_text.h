// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/know_pot.h"
#include "analysis/values/batch.h"

#include <string>
#include <vector>

namespace potwatch::session {

// What a hot-water run says, as [vessel] and [uncertainty] of a batch file; empty where it says nothing.
[[nodiscard]] std::string vesselToml(const PotKnowledge& known, const std::string& vessel);

// The same in words, a figure each: "vessel", "40.2 ± 1.9 J/K".
struct KnowledgeRow {
    std::string name;
    std::string figure;
};
[[nodiscard]] std::vector<KnowledgeRow> knowledgeRows(const PotKnowledge& known);

// A line a row, each ending with a line break.
[[nodiscard]] std::string knowledgeText(const PotKnowledge& known);

// The batch of the run with what it says of its vessel, as a blank: runs of the same vessel then learn from it.
[[nodiscard]] Batch batchWithKnowledge(Batch batch, const PotKnowledge& known, double water_g);

} // namespace potwatch::session
