// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace potwatch {

// Something done or seen at a time of the run: "dose start", "dose end", "stirrer off", "pour", "gel", "foam", "heat
// off", "note".
struct Event {
    double time_s = 0.0;
    std::string kind;
    std::string text;

    bool operator==(const Event&) const = default;
};

// A moment on the wall clock. Without an offset it is a local time that floats (as in most CSV files).
struct WallTime {
    std::int64_t utc_us = 0; // microseconds since 1970-01-01T00:00; the local reading where offset_s is empty
    std::optional<int> offset_s;

    bool operator==(const WallTime&) const = default;
};

} // namespace potwatch
