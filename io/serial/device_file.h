// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/batch/batch_file.h"
#include "io/serial/device.h"

#include <tl/expected.hpp>

#include <string>
#include <string_view>

namespace potwatch::serial {

using batch::Faults;

// Reads a device file (FORMAT.md). Errors: every fault of the file, in its order.
[[nodiscard]] tl::expected<Device, Faults> readDeviceFile(const std::string& path);

// The same of its text; `name` stands for the path in messages.
[[nodiscard]] tl::expected<Device, Faults> parseDevice(std::string_view text, const std::string& name);

} // namespace potwatch::serial
