// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/baseline.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace potwatch::landmarks {

namespace {
// Noise that reads as a drift would move a far onset by seconds.
constexpr double significant_sigma = 4.0;
constexpr int fewest_for_a_slope = 16;
} // namespace

Baseline baselineOf(TraceView reading, double from_s, double to_s, double noise_k) {
    double n = 0.0;
    double sum_t = 0.0;
    double sum_y = 0.0;
    const auto within = [&](std::size_t i) {
        return reading.time_s[i] >= from_s && reading.time_s[i] <= to_s && std::isfinite(reading.value[i]);
    };
    for (std::size_t i = 0; i < reading.size(); ++i) {
        if (within(i)) {
            n += 1.0;
            sum_t += reading.time_s[i];
            sum_y += reading.value[i];
        }
    }
    Baseline line{.from_s = from_s, .to_s = to_s, .middle_s = from_s};
    if (n < 1.0) {
        const auto first =
            std::find_if(reading.value.begin(), reading.value.end(), [](double v) { return std::isfinite(v); });
        line.level_c = first != reading.value.end() ? *first : 0.0;
        line.level_u_k = noise_k;
        return line;
    }
    line.middle_s = sum_t / n;
    line.level_c = sum_y / n;
    line.level_u_k = noise_k / std::sqrt(n);
    double sum_tt = 0.0;
    double sum_ty = 0.0;
    for (std::size_t i = 0; i < reading.size(); ++i) {
        if (within(i)) {
            const double t = reading.time_s[i] - line.middle_s;
            sum_tt += t * t;
            sum_ty += t * (reading.value[i] - line.level_c);
        }
    }
    if (n < fewest_for_a_slope || !(sum_tt > 0.0)) {
        return line;
    }
    const double slope = sum_ty / sum_tt;
    const double slope_u = noise_k / std::sqrt(sum_tt);
    if (std::abs(slope) > significant_sigma * slope_u) {
        line.slope_k_per_s = slope;
        line.slope_u_k_per_s = slope_u;
    }
    return line;
}

} // namespace potwatch::landmarks
