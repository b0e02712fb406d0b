// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <random>
#include <span>
#include <vector>

namespace potwatch::forecast {

// A probe that follows the temperature with a first-order lag, adds white noise and gives whole steps.
struct SensorModel {
    double lag_s = 0.0;
    double noise_k = 0.0; // standard deviation
    double step_k = 0.0;  // 0 = not rounded

    bool operator==(const SensorModel&) const = default;
};

// Readings of a probe [°C] that is at rest at the first temperature.
// Shape: time_s ascending, temperature_c as long; taken as straight between the times.
// Assumes: the engine's state is the only source of chance, so that equal seeds give equal readings.
// Source: first-order lag T = Tm + tau dTm/dt; normal deviates by G. E. P. Box, M. E. Muller, Ann. Math. Stat. 29
// (1958) 610.
[[nodiscard]] std::vector<double> readings(std::span<const double> time_s, std::span<const double> temperature_c,
                                           const SensorModel& sensor, std::mt19937_64& random);

} // namespace potwatch::forecast
