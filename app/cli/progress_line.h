// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"

#include <chrono>
#include <mutex>
#include <string>
#include <string_view>

namespace potwatch::cli {

// A line on standard error that says how far long work has come: only on a terminal, and only once the work has taken a
// second. The line is wiped when the work is over. Threads: may be told from any thread.
class ProgressLine {
public:
    ProgressLine();
    ~ProgressLine();
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    // What to hand to long work; empty where there is no terminal. Must not outlive the line.
    [[nodiscard]] Progress teller();
    void wipe();

private:
    void show(double fraction, std::string_view doing);

    const bool on_terminal_;
    const std::chrono::steady_clock::time_point begun_;
    std::chrono::steady_clock::time_point shown_;
    bool visible_ = false;
    std::mutex mutex_;
};

} // namespace potwatch::cli
