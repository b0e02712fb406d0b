// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/findings.h"

namespace potwatch::session {

// Adds to a run's findings what its batch file and they together say: thermal inertia, the highest temperature that the
// pot could have reached (MTSR), and whether it is a second heating.
void addBatchFindings(Analysis& analysis, const Batch& batch);

} // namespace potwatch::session
