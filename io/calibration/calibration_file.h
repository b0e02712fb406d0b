// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"
#include "io/batch/batch_file.h"

#include <tl/expected.hpp>

#include <string>
#include <string_view>
#include <vector>

// The file of calibrations: what is known of the probes behind each channel of each device. TOML, its keys in FORMAT.md
// beside this header.
namespace potwatch::calibration_file {

using Faults = batch::Faults;

// The probe behind one channel of a device.
struct KnownProbe {
    std::string device; // by what it is known again; empty = any device that has none of its own for the channel
    Probe probe;        // its role is not kept

    bool operator==(const KnownProbe&) const = default;
};

// Errors: storage (cannot be read), unsupported (a newer format), input (not TOML, an unknown key with the nearest
// known one, wrong type, two probes of one device and channel), range (an impossible value). Each names file and line.
[[nodiscard]] tl::expected<std::vector<KnownProbe>, Faults> readFile(const std::string& path);

// The same for text in memory; `name` stands for the file in messages.
[[nodiscard]] tl::expected<std::vector<KnownProbe>, Faults> readText(std::string_view text, const std::string& name);

// As TOML text that readText turns into equal ones again.
[[nodiscard]] std::string write(const std::vector<KnownProbe>& probes);

} // namespace potwatch::calibration_file
