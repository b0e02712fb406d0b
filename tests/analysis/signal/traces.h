// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/trace.h"

#include <cmath>
#include <cstddef>
#include <functional>
#include <random>
#include <vector>

// The vocabulary of the signal tests: traces made from a function of time.
namespace potwatch::signal_tests {

struct Trace {
    std::vector<double> time_s;
    std::vector<double> value;

    [[nodiscard]] TraceView view() const { return {time_s, value}; }
};

inline Trace evenTrace(std::size_t count, double interval_s, const std::function<double(double)>& value) {
    Trace trace;
    for (std::size_t i = 0; i < count; ++i) {
        trace.time_s.push_back(static_cast<double>(i) * interval_s);
        trace.value.push_back(value(trace.time_s.back()));
    }
    return trace;
}

// Intervals between half and one and a half of the given one.
inline Trace unevenTrace(std::size_t count, double interval_s, const std::function<double(double)>& value) {
    std::minstd_rand random(7);
    Trace trace;
    double time_s = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        trace.time_s.push_back(time_s);
        trace.value.push_back(value(time_s));
        time_s += interval_s * (0.5 + static_cast<double>(random() % 1000) / 1000.0);
    }
    return trace;
}

inline void addNoise(Trace& trace, double sigma, unsigned seed = 1) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal(0.0, sigma);
    for (double& value : trace.value) {
        value += normal(random);
    }
}

inline void roundTo(Trace& trace, double step) {
    for (double& value : trace.value) {
        value = step * std::round(value / step);
    }
}

inline std::vector<double> constant(std::size_t count, double value) {
    return std::vector<double>(count, value);
}

} // namespace potwatch::signal_tests
