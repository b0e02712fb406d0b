// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <atomic>
#include <chrono>
#include <stop_token>
#include <thread>
#include <vector>

namespace potwatch::cli {

// Turns an interrupt (Ctrl-C), a request to terminate or a terminal that is closed into a stop token, for as long as it
// lives. Work that does not heed the token within `grace`, or that is interrupted once more, is ended with exit code
// 130; files are written whole or not at all, so nothing is left half done. A signal that was ignored when the program
// began stays ignored. Threads: make it before other threads, which inherit the blocked signals.
class StopSignal {
public:
    explicit StopSignal(std::chrono::seconds grace = std::chrono::seconds(2));
    ~StopSignal();
    StopSignal(const StopSignal&) = delete;
    StopSignal& operator=(const StopSignal&) = delete;

    [[nodiscard]] std::stop_token token() const { return source_.get_token(); }
    // Whether it was the person at the keyboard (Ctrl-C) who asked.
    [[nodiscard]] bool wasInterrupt() const { return interrupt_; }

private:
    std::stop_source source_;
    std::atomic<bool> over_ = false;
    std::atomic<bool> interrupt_ = false;
    std::thread waiter_;
};

// Adds the fault of having been stopped, unless one of them says so already; nothing where no stop was asked for.
void addStopped(std::vector<Fault>& faults, const std::stop_token& stop);

} // namespace potwatch::cli
