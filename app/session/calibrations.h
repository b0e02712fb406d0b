// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "analysis/values/fault.h"
#include "io/calibration/calibration_file.h"
#include "io/serial/port/port_list.h"

#include <tl/expected.hpp>

#include <functional>
#include <string>
#include <vector>

namespace potwatch::session {

using calibration_file::KnownProbe;

// calibration.toml in the folder of settings.
[[nodiscard]] std::string calibrationFile(const std::string& folder);

// What is known of all probes; nothing where there is no such file yet. Errors: those of calibration_file::readFile.
[[nodiscard]] tl::expected<std::vector<KnownProbe>, batch::Faults> readCalibrations(const std::string& folder);

// Writes it whole or not at all; the folder is made where there is none. Errors: storage.
[[nodiscard]] Result<void> writeCalibrations(const std::string& folder, const std::vector<KnownProbe>& probes);

// Reads what is known, changes it and writes it. Returns what is known then. Errors: as readCalibrations() and
// writeCalibrations(); nothing is changed then.
using CalibrationChange = std::function<void(std::vector<KnownProbe>& known)>;
[[nodiscard]] tl::expected<std::vector<KnownProbe>, batch::Faults> changeCalibrations(const std::string& folder,
                                                                                      const CalibrationChange& change);

// By what a device is known again: "usb 1a86:7523 A10K", with its serial number where it has one. Empty for one that is
// not on USB.
[[nodiscard]] std::string deviceOf(const serial::PortInfo& port);

// By what the device behind a port is known again: deviceOf(), empty for a port that is not there. Takes some ten
// milliseconds: not for a window's thread.
[[nodiscard]] std::string deviceBehind(const std::string& port);

// Puts what was measured (the points and the lag that `measured` holds) in place of what was known of that probe.
void keep(std::vector<KnownProbe>& known, const KnownProbe& measured);

// What is known of the probes of a device: its own, and for channels that it has none for, those of any device.
[[nodiscard]] std::vector<KnownProbe> calibrationsFor(const std::vector<KnownProbe>& known, const std::string& device);

// Copies what is known of the probes of these channels into the batch, where it states nothing of that itself, or what
// was measured before (a batch taken over from an earlier run).
void stateProbes(Batch& batch, const std::vector<KnownProbe>& known, const std::vector<std::string>& channels);

// "−0.42 K at 0 °C (2026-03-01), +0.36 K at boiling (2026-03-01)"; empty where no point is known, or none that can be.
[[nodiscard]] std::string correctionText(const Probe& probe);

// What is known of a probe, for a table: "0.42 ± 0.12 °C, 2026-03-01", "4.1 ± 0.8 s, 2026-03-01"; empty where that is
// not known. The remark is calibrationText().
struct KnownInWords {
    std::string in_ice;
    std::string in_boiling_water;
    std::string lag;
    std::string remark;
};
[[nodiscard]] KnownInWords inWords(const KnownProbe& known, const WallTime& now);

inline constexpr double old_after_days = 365.0; // common practice, no source

// "core_c is corrected by its calibration: −0.4 K at 0 °C (2026-03-01), +0.5 K at boiling (2026-03-01). Its lag is 4.1
// s (2026-03-01)." With a word on what is older than a year by `now`. Empty where nothing is known of the probe.
[[nodiscard]] std::string calibrationText(const Probe& probe, const WallTime& now);

} // namespace potwatch::session
