// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>
#include <string_view>

namespace potwatch {

// Told now and then how far long work has come: the fraction done in [0, 1] and what is being done. May be empty.
// Threads: called on the thread that does the work.
using Progress = std::function<void(double fraction, std::string_view doing)>;

} // namespace potwatch
