// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "io/serial/byte_source.h"

#include <memory>
#include <string>

namespace potwatch::serial {

// Reads a serial port, also a pseudo-terminal, by its path or by a link to it. The path need not be there yet. A lost
// port is opened again as soon as it is back: under the same path where the same device is behind it (USB vendor,
// product and serial number), else under whatever path that device has got.
// Errors: unsupported (this build has no serial ports). All others are told while it runs, with what to do.
[[nodiscard]] Result<std::unique_ptr<ByteSource>> portSource(const std::string& path, const PortSettings& settings);

} // namespace potwatch::serial
