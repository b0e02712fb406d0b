// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/fault.h"

#include <string>
#include <vector>

namespace potwatch::session {

// What a batch file of this batch would be refused for: the rules of io/batch, for batches made in other ways.
[[nodiscard]] std::vector<Fault> faultsOf(const Batch& batch);

// The faults of a batch that another one does not have yet: what an edit has brought in.
[[nodiscard]] std::vector<Fault> newFaults(const Batch& before, const Batch& after);

} // namespace potwatch::session
