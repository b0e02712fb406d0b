// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "io/batch/reading.h"

namespace potwatch::batch {

// Faults of keys that are right one by one but contradict each other: two sources for one quantity, resin in a blank, C
// stage before gel, heavier in water than dry, two probes on one channel.
void checkConsistency(const Batch& batch, Reading& reading);

} // namespace potwatch::batch
