// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>

namespace potwatch::serial {

// By what a device on USB is known again, whatever port it gets.
struct UsbIdentity {
    int vendor = 0;
    int product = 0;
    std::string serial_number; // many have none

    bool operator==(const UsbIdentity&) const = default;
};

// Of the device behind a port; nothing where it is none on USB.
[[nodiscard]] std::optional<UsbIdentity> usbIdentityOf(const std::string& path);

// Where that device is; empty where it is nowhere, or cannot be told apart from another of its kind.
[[nodiscard]] std::string pathOf(const UsbIdentity& identity);

// What to do so that a port can be read; empty where it can.
[[nodiscard]] std::string remedyFor(const std::string& path);

} // namespace potwatch::serial
