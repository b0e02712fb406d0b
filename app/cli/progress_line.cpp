// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/progress_line.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <unistd.h>

namespace potwatch::cli {
namespace {

using std::chrono::steady_clock;

constexpr std::chrono::milliseconds quiet_at_first(1000);
constexpr std::chrono::milliseconds between_lines(100); // often enough to look alive, too seldom to cost anything

void put(std::string_view text) {
    std::fwrite(text.data(), 1, text.size(), stderr);
    std::fflush(stderr);
}

} // namespace

ProgressLine::ProgressLine()
    : on_terminal_(::isatty(STDERR_FILENO) == 1)
    , begun_(steady_clock::now())
    , shown_(begun_) {}

ProgressLine::~ProgressLine() {
    wipe();
}

Progress ProgressLine::teller() {
    if (!on_terminal_) {
        return {};
    }
    return [this](double fraction, std::string_view doing) { show(fraction, doing); };
}

void ProgressLine::show(double fraction, std::string_view doing) {
    const std::lock_guard lock(mutex_);
    const steady_clock::time_point now = steady_clock::now();
    if (now - begun_ < quiet_at_first || (visible_ && now - shown_ < between_lines)) {
        return;
    }
    shown_ = now;
    visible_ = true;
    put(fmt::format("\r\033[K{:3.0f} %  {}", 100.0 * std::clamp(fraction, 0.0, 1.0), doing.substr(0, 70)));
}

void ProgressLine::wipe() {
    const std::lock_guard lock(mutex_);
    if (visible_) {
        put("\r\033[K");
        visible_ = false;
    }
}

} // namespace potwatch::cli
