// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

namespace potwatch {

// One ramp of an oven with the hold behind it.
struct ProgrammeStep {
    double from_c = 0.0;
    double to_c = 0.0;
    double ramp_k_per_min = 1.0; // a size, up or down; more than 0
    double hold_min = 0.0;

    bool operator==(const ProgrammeStep&) const = default;
};

// What an oven is set to, one ramp and hold after the other; each begins where the one before it ended.
struct Programme {
    std::vector<ProgrammeStep> steps;

    bool operator==(const Programme&) const = default;
};

// A temperature against time: straight between the points, constant beyond them.
// Shape: of one length, time_s ascending; not empty.
struct TemperatureCourse {
    std::vector<double> time_s;
    std::vector<double> temperature_c;

    bool operator==(const TemperatureCourse&) const = default;
};

} // namespace potwatch
