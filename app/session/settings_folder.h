// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string>

namespace potwatch::session {

// Reads a variable of the environment; empty where it is not set.
using Environment = std::function<std::string(const char* name)>;

// The program's own environment.
[[nodiscard]] Environment processEnvironment();

// Where settings are kept where nothing else is said: potwatch in the XDG config folder. A relative path in the
// variable counts for nothing. Source: XDG Base Directory Specification 0.8.
[[nodiscard]] std::string settingsFolder(const Environment& environment);

// The demo's book, beside the default book.
[[nodiscard]] std::string demoBookPath();

} // namespace potwatch::session
