// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/signal/smooth_curve.h"
#include "analysis/values/trace.h"

#include <vector>

namespace potwatch::landmarks {

// A reading smoothed twice, once for the temperature behind the probe and once for its rate.
struct Curves {
    signal::SmoothCurve level;
    signal::SmoothCurve rate;
    double noise_k = 0.0;
    double rounding_u_k = 0.0;       // what rounding leaves where the temperature hardly moves
    double reading_interval_s = 0.0; // as a rule

    bool operator==(const Curves&) const = default;
};

// Shape and errors as signal::smooth; at least 16 finite values.
[[nodiscard]] Curves smoothCurves(TraceView reading, double lag_s, double noise_k);

// Temperature and rate of the resin for one lag, at the knots of the two curves.
struct Course {
    double lag_s = 0.0;
    std::vector<double> time_s;
    std::vector<double> temperature_c;
    std::vector<double> slope_k_per_s;
    std::vector<double> rate_time_s;
    std::vector<double> rate_k_per_s;

    // Temperature [°C] and rate [K/s] at any time.
    [[nodiscard]] double temperatureAt(double at_s) const;
    [[nodiscard]] double rateAt(double at_s) const;
};

// T = Tm + lag dTm/dt.
[[nodiscard]] Course courseOf(const Curves& curves, double lag_s);

} // namespace potwatch::landmarks
