// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <stop_token>
#include <string>
#include <vector>

namespace potwatch::window {

struct WindowOptions {
    std::string book;               // empty = the one that was open last, else the default one
    std::string config;             // folder of the settings; empty = XDG's
    std::vector<std::string> files; // tables to import, batch files, books
    std::stop_token stop;           // closes the window as the person would: a recording is ended first
};

// Opens the window and returns the program's exit code once it is closed.
// Errors: unsupported (this build has no window, or there is no display: names the commands instead).
[[nodiscard]] Result<int> openWindow(const std::string& program, const WindowOptions& options);

} // namespace potwatch::window
