// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording_news.h"

#include <deque>
#include <string>
#include <vector>

namespace potwatch::session {

// Compares the probes of a recording with each other while nothing has been dosed and all are at rest. Threads: one at
// a time.
class RestCheck {
public:
    void clear() { scans_.clear(); }
    void add(const LiveScan& scan);

    // "Probes at rest: t1 21.8 °C, t2 21.5 °C; 0.3 K apart.", and what to do where that is too far. Empty where they
    // are not at rest, fewer than two, or so far apart that they cannot stand at one temperature.
    [[nodiscard]] std::string inWords(const std::vector<LiveChannel>& channels) const;

private:
    std::deque<LiveScan> scans_; // the last of them, half a second apart or more
};

} // namespace potwatch::session
