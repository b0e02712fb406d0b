// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "analysis/values/run.h"

#include <string>
#include <utility>
#include <vector>

namespace potwatch::session {

// What turns a column in millivolts into a temperature; empty = not stated.
struct Millivolts {
    std::string type;          // of the thermocouple: "K"
    std::string cold_junction; // a temperature in °C, or the name of the channel that holds it
};

// Converts every temperature channel of the run to °C, in place: °F and K by their definitions; mV through the
// reference function of the thermocouple's type with the cold junction added in millivolts. Channels in mV are left
// alone where no type is stated and another channel is the pot's. Returns warnings: readings that the reference
// function cannot answer become NaN. Errors: input (no channel is known to be a temperature; the pot's channel has no
// known unit or is in mV without a type, a type that does not exist, a cold junction that is missing or unknown): each
// names the option that mends it. Source: 0 °C = 273.15 K, 1 K = 1.8 °F, by definition (SI brochure, 9th
// edition, 2.3.1).
[[nodiscard]] Result<std::vector<std::string>> convertToCelsius(Run& run, const std::string& pot_channel,
                                                                const Millivolts& millivolts);

// What the batch states of probes that were calibrated, by channel.
using Calibrations = std::vector<std::pair<std::string, ProbeCalibration>>;
[[nodiscard]] Calibrations calibrationsIn(const Batch& batch);

// Corrects the channels in °C whose probe the run's batch states a calibration of, in place: once, after
// convertToCelsius(). Returns warnings: a calibration of a channel that the run does not have. Errors: those of
// thermocouple::correctionOf(), with the channel; nothing is corrected then.
[[nodiscard]] Result<std::vector<std::string>> correctReadings(Run& run);

} // namespace potwatch::session
