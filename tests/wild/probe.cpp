// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/wild/probe.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::wild {
namespace {

// Exact for an input that is straight between moments.
std::vector<double> lagged(const std::vector<double>& input_c, double step_s, double lag_s) {
    if (lag_s <= 0.0) {
        return input_c;
    }
    std::vector<double> output_c{input_c.front()};
    const double keeps = std::exp(-step_s / lag_s);
    for (std::size_t i = 1; i < input_c.size(); ++i) {
        const double behind_k = lag_s * (input_c[i] - input_c[i - 1]) / step_s;
        output_c.push_back(input_c[i] - behind_k + (output_c.back() - input_c[i - 1] + behind_k) * keeps);
    }
    return output_c;
}

double rounded(double temperature_c, double step_k) {
    return step_k > 0.0 ? std::round(temperature_c / step_k) * step_k : temperature_c;
}

} // namespace

std::vector<Reading> read(const std::vector<Moment>& history, double end_s, const Probe& probe, Random& random) {
    const double step_s = history[1].time_s - history[0].time_s;
    std::vector<double> around_c;
    for (const Moment& moment : history) {
        around_c.push_back(moment.pot_c + probe.wall_share * (moment.wall_c - moment.pot_c));
    }
    const std::vector<double> felt_c = lagged(lagged(around_c, step_s, probe.lag_s), step_s, probe.second_lag_s);
    std::vector<Reading> readings;
    double last_s = -1.0;
    for (int i = 0; i * probe.interval_s <= end_s; ++i) {
        const double time_s = std::max(i * probe.interval_s + probe.jitter_s * random.normal(), last_s + 1e-3);
        const bool lost = std::any_of(probe.gaps.begin(), probe.gaps.end(), [time_s](const Gap& gap) {
            return time_s > gap.from_s && time_s < gap.from_s + gap.over_s;
        });
        const auto at = static_cast<std::size_t>(std::max(time_s, 0.0) / step_s);
        if (lost || at + 1 >= history.size()) {
            continue;
        }
        last_s = std::max(time_s, 0.0);
        const double part = last_s / step_s - static_cast<double>(at);
        double pot_c = felt_c[at] + part * (felt_c[at + 1] - felt_c[at]) + probe.noise_k * random.normal();
        if (random.chance(probe.spikes_per_reading)) {
            pot_c += (random.chance(0.5) ? 1.0 : -1.0) * random.between(5.0, 40.0);
        }
        const double air_c = history[at].room_c + probe.noise_k * random.normal();
        readings.push_back({last_s, rounded(pot_c, probe.step_k), rounded(air_c, probe.step_k)});
    }
    return readings;
}

} // namespace potwatch::wild
