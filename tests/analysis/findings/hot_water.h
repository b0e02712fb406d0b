// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/chemistry/water.h"
#include "analysis/values/run.h"

#include <cmath>
#include <cstdint>
#include <limits>
#include <random>

namespace potwatch::test {

// The truth of a hot-water run; the model that is simulated, not the one that is fitted: water and vessel come to one
// temperature with a time constant, each step by the heat balance.
struct Beaker {
    double water_g = 200.0;
    double water_c = 78.0; // as it arrives
    double vessel_j_per_k = 40.0;
    double loss_w_per_k = 0.8;
    double exponent = 0.15;
    double surroundings_c = 21.0;
    double poured_s = 60.0;
    double probe_lag_s = 4.0;
    double mixing_s = 6.0; // of water and vessel
};

struct Logged {
    double from_s = 0.0; // the recording's part of the course
    double to_s = 5400.0;
    double noise_k = 0.1;
    std::uint64_t seed = 1;
};

// What the probe reads, once a second. It stands in the empty vessel before the pouring.
inline potwatch::Run hotWaterRun(const Beaker& truth, const Logged& logged) {
    std::mt19937_64 random(logged.seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    potwatch::Run run;
    run.name = "hot water";
    Channel channel{.name = "pot_c", .unit = "degC", .values = {}};
    constexpr int steps_per_s = 10;
    constexpr double step_s = 1.0 / steps_per_s;
    double water_c = truth.water_c;
    double vessel_c = truth.surroundings_c;
    double probe_c = truth.surroundings_c;
    for (int i = 0; i <= static_cast<int>(logged.to_s) * steps_per_s; ++i) {
        const double t = i * step_s;
        if (i % steps_per_s == 0 && t >= logged.from_s) {
            run.time_s.push_back(t - logged.from_s);
            channel.values.push_back(probe_c + logged.noise_k * normal(random));
        }
        const bool is_poured = t >= truth.poured_s;
        if (is_poured) {
            const double water_j_per_k = truth.water_g * chemistry::liquidSpecificHeatJPerGK(water_c);
            const double above_k = water_c - truth.surroundings_c;
            const double lost_w = truth.loss_w_per_k * above_k * std::pow(above_k / 20.0, truth.exponent);
            const double exchanged_w = truth.vessel_j_per_k / truth.mixing_s * (water_c - vessel_c);
            water_c -= (lost_w + exchanged_w) * step_s / water_j_per_k;
            vessel_c += exchanged_w * step_s / truth.vessel_j_per_k;
        }
        probe_c +=
            ((is_poured ? water_c : truth.surroundings_c) - probe_c) * (1.0 - std::exp(-step_s / truth.probe_lag_s));
    }
    run.channels.push_back(std::move(channel));
    run.batch.surroundings.temperature_c = truth.surroundings_c;
    run.batch.uncertainty.surroundings_k = 0.3;
    run.batch.sensor_lag_s = truth.probe_lag_s;
    run.batch.uncertainty.lag_s = 0.5;
    return run;
}

} // namespace potwatch::test
