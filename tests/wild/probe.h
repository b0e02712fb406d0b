// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/wild/pot.h"
#include "tests/wild/random.h"

#include <vector>

namespace potwatch::wild {

struct Gap {
    double from_s = 0.0;
    double over_s = 0.0;
};

struct Probe {
    double lag_s = 4.0;
    double second_lag_s = 0.0; // its sheath behind its junction; 0: of first order
    double wall_share = 0.0;   // how far towards the wall it reads
    double noise_k = 0.1;
    double step_k = 0.25; // 0: not rounded
    double interval_s = 1.0;
    double jitter_s = 0.0;
    double spikes_per_reading = 0.0;
    std::vector<Gap> gaps;
};

struct Reading {
    double time_s = 0.0;
    double pot_c = 0.0;
    double air_c = 0.0;
};

// What a probe in the pot and another in its room, without lag, say of that history up to `end_s`.
std::vector<Reading> read(const std::vector<Moment>& history, double end_s, const Probe& probe, Random& random);

} // namespace potwatch::wild
