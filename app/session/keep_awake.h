// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <sys/types.h>

namespace potwatch::session {

// Keeps the computer from falling asleep for as long as it lives, by the system's own `systemd-inhibit`, run as a child
// that ends with this process, however that ends. Threads: one at a time.
class KeepAwake {
public:
    explicit KeepAwake(const std::string& why);
    ~KeepAwake();
    KeepAwake(const KeepAwake&) = delete;
    KeepAwake& operator=(const KeepAwake&) = delete;

    // Whether it does; empty while the system has not answered yet (a second at most).
    [[nodiscard]] std::optional<bool> isKept();

private:
    pid_t child_ = -1;
    int lifeline_ = -1; // the child reads from its other end, and ends when this one is closed
    std::chrono::steady_clock::time_point begun_;
};

} // namespace potwatch::session
