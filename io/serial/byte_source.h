// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "io/serial/device.h"

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>

namespace potwatch::serial {

// A moment on a clock that nobody sets and that goes on while the computer sleeps.
using Moment = std::chrono::steady_clock::time_point;
[[nodiscard]] Moment now();

// What a source tells, each with the moment at which it happened.

struct Connected {
    std::string to;               // "/dev/ttyUSB0 (USB to serial, 1a86:7523), 9600 baud"
    bool may_start_midway = true; // the first bytes can be the end of a line
};
struct BytesCame {
    std::string bytes;
};
struct NotConnected { // cannot be opened; it goes on trying
    Fault fault;
};
struct Lost { // was connected and is no more; it goes on trying to come back
    Fault fault;
};
struct SourceEnded { // nothing will come any more: the end of a file, or a fault that trying again does not mend
    std::optional<Fault> fault;
};

struct SourceNews {
    Moment at;
    std::variant<Connected, BytesCame, NotConnected, Lost, SourceEnded> what;
};

// Where a device's bytes come from. Bytes are never waited for by the one who asks: they are told.
class ByteSource {
public:
    using Tell = std::function<void(SourceNews)>;

    // Begins to read on a thread of the source's own, on which `tell` is called until the destructor has returned.
    // To be called once.
    virtual void start(Tell tell) = 0;

    // Ends the reading and the thread, within 200 ms.
    virtual ~ByteSource() = default;
};

// Reads an open file descriptor (a pipe, a terminal, a file) to its end; it is not closed.
[[nodiscard]] std::unique_ptr<ByteSource> descriptorSource(int descriptor, const std::string& name);

} // namespace potwatch::serial
