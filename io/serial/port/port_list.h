// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <optional>
#include <string>
#include <vector>

namespace potwatch::serial {

// A serial port of this machine.
struct PortInfo {
    std::string path;    // "/dev/ttyUSB0"
    std::string by_id;   // its lasting name under /dev/serial/by-id; empty = none
    std::string product; // what the device says of itself; any may be empty
    std::string manufacturer;
    std::string serial_number;
    std::optional<int> usb_vendor; // both or none
    std::optional<int> usb_product;
    bool may_be_opened = false; // permission to read and write
    std::string remedy;         // what to do where it may not

    bool operator==(const PortInfo&) const = default;
};

// All ports, those on USB first. Takes some ten milliseconds: not for a window's thread.
// Errors: unsupported (this build has no serial ports).
[[nodiscard]] Result<std::vector<PortInfo>> listPorts();

} // namespace potwatch::serial
