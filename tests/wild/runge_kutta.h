// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace potwatch::wild {

// Carries `state` from one moment to the next by the fifth-order pair of Dormand and Prince, with a step that keeps the
// error of each step under `relative` of the state plus `absolute`. `rate(time_s, state)` must be smooth in between.
// Source: Dormand and Prince, J. Comput. Appl. Math. 6 (1980) 19, table 2.
template<std::size_t n, class Rate>
void advance(std::array<double, n>& state, double from_s, double to_s, const Rate& rate, double relative = 1e-8,
             double absolute = 1e-8) {
    constexpr std::array<double, 7> at{0.0, 1.0 / 5, 3.0 / 10, 4.0 / 5, 8.0 / 9, 1.0, 1.0};
    constexpr double of[7][6] = {{},
                                 {1.0 / 5},
                                 {3.0 / 40, 9.0 / 40},
                                 {44.0 / 45, -56.0 / 15, 32.0 / 9},
                                 {19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729},
                                 {9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656},
                                 {35.0 / 384, 0.0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84}};
    constexpr std::array<double, 7> fourth{5179.0 / 57600,    0.0,          7571.0 / 16695, 393.0 / 640,
                                           -92097.0 / 339200, 187.0 / 2100, 1.0 / 40};
    double time_s = from_s;
    double step_s = to_s - from_s;
    while (time_s < to_s) {
        const bool last = time_s + step_s >= to_s;
        if (last) {
            step_s = to_s - time_s;
        }
        std::array<std::array<double, n>, 7> slopes{};
        std::array<double, n> stage{};
        for (std::size_t s = 0; s < 7; ++s) {
            stage = state;
            for (std::size_t before = 0; before < s; ++before) {
                for (std::size_t i = 0; i < n; ++i) {
                    stage[i] += step_s * of[s][before] * slopes[before][i];
                }
            }
            slopes[s] = rate(time_s + at[s] * step_s, stage);
        }
        double worst = 0.0; // the seventh stage is the fifth-order step itself
        for (std::size_t i = 0; i < n; ++i) {
            double lower = state[i];
            for (std::size_t s = 0; s < 7; ++s) {
                lower += step_s * fourth[s] * slopes[s][i];
            }
            const double scale = absolute + relative * std::max(std::abs(state[i]), std::abs(stage[i]));
            worst = std::max(worst, std::abs(stage[i] - lower) / scale);
        }
        if (worst <= 1.0 || step_s < 1e-6) {
            state = stage;
            time_s = last ? to_s : time_s + step_s;
        }
        step_s *= std::clamp(0.9 * std::pow(std::max(worst, 1e-10), -0.2), 0.2, 4.0);
    }
}

} // namespace potwatch::wild
