// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/line_format.h"

#include <optional>
#include <string>

namespace potwatch::serial {

enum class Parity { none, even, odd };

// How a port is set. What is empty is found by looking (the speed), or is as usual (8 data bits, no parity, 1 stop
// bit).
struct PortSettings {
    std::optional<int> baud; // bits per second
    int data_bits = 8;
    Parity parity = Parity::none;
    int stop_bits = 1;

    bool operator==(const PortSettings&) const = default;
};

// What is known of a device before it is asked: a device file (FORMAT.md), field for field. All of it is optional.
struct Device {
    std::string file; // where it was read from; empty = nothing was stated
    std::string name;
    PortSettings port;
    std::optional<LineFormat> lines; // empty = found by looking at the first lines
    std::string unit = "degC";       // of values whose unit neither file nor line says
    std::string thermocouple;        // type behind columns in millivolts: "K"; empty = none
    std::string cold_junction;       // a temperature in °C, or the name of a column; empty = none

    bool operator==(const Device&) const = default;
};

} // namespace potwatch::serial
