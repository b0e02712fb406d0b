// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "io/batch/schema.h"

#include <cstdint>
#include <vector>

namespace potwatch::batch {

// The version that this program writes, and the highest that it reads.
inline constexpr std::int64_t format_version = 1;

// What a probe read at its fixed points, as it stands in a batch file and in the file of calibrations.
[[nodiscard]] Schema<ProbeCalibration> calibrationFormat();

// The batch file, key for key and in the order of writing (FORMAT.md says it in words).
[[nodiscard]] const Schema<Batch>& batchFormat();

// Every name of it.
[[nodiscard]] const std::vector<KnownKey>& knownKeys();

} // namespace potwatch::batch
