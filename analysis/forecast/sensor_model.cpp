// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/sensor_model.h"

#include <cassert>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace potwatch::forecast {

namespace {

// The library's own distributions may differ between implementations; this one does not.
double normalDeviate(std::mt19937_64& random) {
    constexpr double unit = 0x1.0p-53;
    const double radius = (static_cast<double>(random() >> 11U) + 0.5) * unit;
    const double angle = static_cast<double>(random() >> 11U) * unit;
    return std::sqrt(-2.0 * std::log(radius)) * std::cos(2.0 * std::numbers::pi * angle);
}

} // namespace

std::vector<double> readings(std::span<const double> time_s, std::span<const double> temperature_c,
                             const SensorModel& sensor, std::mt19937_64& random) {
    assert(time_s.size() == temperature_c.size());
    std::vector<double> result(time_s.size());
    double probe_c = time_s.empty() ? 0.0 : temperature_c.front();
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        const double interval_s = i == 0 ? 0.0 : time_s[i] - time_s[i - 1];
        if (sensor.lag_s > 0.0 && interval_s > 0.0) {
            // The answer to a ramp: it follows by rate x lag, and what was off at its start dies away.
            const double rate_k_per_s = (temperature_c[i] - temperature_c[i - 1]) / interval_s;
            const double behind_k = rate_k_per_s * sensor.lag_s;
            const double off_k = probe_c - temperature_c[i - 1] + behind_k;
            probe_c = temperature_c[i] - behind_k + off_k * std::exp(-interval_s / sensor.lag_s);
        } else if (i > 0) {
            probe_c = sensor.lag_s > 0.0 ? probe_c : temperature_c[i];
        }
        const double reading_c = sensor.noise_k > 0.0 ? probe_c + sensor.noise_k * normalDeviate(random) : probe_c;
        result[i] = sensor.step_k > 0.0 ? sensor.step_k * std::round(reading_c / sensor.step_k) : reading_c;
    }
    return result;
}

} // namespace potwatch::forecast
