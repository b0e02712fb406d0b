// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/curves.h"

namespace potwatch::landmarks {

Curves smoothCurves(TraceView reading, double lag_s, double noise_k) {
    return {.level = signal::smooth(reading, {.aim = signal::Aim::level, .lag_s = lag_s, .noise = noise_k}),
            .rate = signal::smooth(reading, {.aim = signal::Aim::rate, .lag_s = lag_s, .noise = noise_k}),
            .noise_k = noise_k};
}

double Course::temperatureAt(double at_s) const {
    return signal::hermite(time_s, temperature_c, slope_k_per_s, at_s);
}

double Course::rateAt(double at_s) const {
    return signal::linear(rate_time_s, rate_k_per_s, at_s);
}

Course courseOf(const Curves& curves, double lag_s) {
    return {.lag_s = lag_s,
            .time_s = curves.level.time_s,
            .temperature_c = signal::atKnots(curves.level, lag_s),
            .slope_k_per_s = signal::levelSlopeAtKnots(curves.level, lag_s),
            .rate_time_s = curves.rate.time_s,
            .rate_k_per_s = signal::atKnots(curves.rate, lag_s)};
}

} // namespace potwatch::landmarks
