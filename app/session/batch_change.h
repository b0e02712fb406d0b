// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"

#include <string>
#include <vector>

namespace potwatch::session {

// What a batch changes from the one that it is based on, in words, the most telling first: "0.50 to 0.30 g/min", "80 to
// 100 g of resin", "in beaker 400". What is only done or seen (events, outcome, notes, names, times) is no change of
// the batch. Empty where nothing differs.
[[nodiscard]] std::vector<std::string> batchChanges(const Batch& before, const Batch& now);

// The most telling change alone, and how many there are besides: "0.50 to 0.30 g/min, 2 more". Empty where nothing
// differs.
[[nodiscard]] std::string batchChangeText(const Batch& before, const Batch& now);

} // namespace potwatch::session
