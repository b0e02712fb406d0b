// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/run.h"
#include "app/session/calibrations.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::session {

// What a probe was put through.
enum class CalibrationKind { ice, boiling, lag };

struct CalibrationWanted {
    CalibrationKind kind = CalibrationKind::ice;
    std::string device;                 // as deviceBehind(), or a name; empty = any
    std::optional<double> pressure_kpa; // of the air; empty = the batch's
    WallTime now;                       // the date, where the run has none
};

// One probe measured: what is to be kept, and where in the recording it comes from.
struct ProbeMeasured {
    KnownProbe known;
    double from_s = 0.0;
    double to_s = 0.0; // the same as from_s for a lag
    std::size_t readings = 0;
    std::optional<double> true_c; // of the bath; empty for a lag
};

// Measures one channel of a recording in °C that is not corrected.
// Errors: those of thermocouple::icePoint(), boilingPoint() and lagFromRecording(), input (no such channel, no air
// pressure stated where it is needed), each with the channel.
[[nodiscard]] Result<ProbeMeasured> measureProbe(const Run& run, const std::string& channel,
                                                 const CalibrationWanted& wanted);

// The same for several channels: what one of them refuses does not touch the others.
struct ProbesMeasured {
    std::vector<ProbeMeasured> probes;
    std::vector<Fault> faults;
};
[[nodiscard]] ProbesMeasured measureProbes(const Run& run, const std::vector<std::string>& channels,
                                           const CalibrationWanted& wanted);

// "core_c in melting ice: 0.42 ± 0.12 °C, from 30 to 300 s (271 readings). It reads 0.42 K too high there." and the
// like.
[[nodiscard]] std::string measuredText(const ProbeMeasured& measured, CalibrationKind kind);

// The channels of a run that are temperatures.
[[nodiscard]] std::vector<std::string> temperatureChannels(const Run& run);

} // namespace potwatch::session
