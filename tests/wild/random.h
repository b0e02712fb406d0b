// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

namespace potwatch::wild {

// Draws that are the same with every standard library, which its own distributions are not.
class Random {
public:
    explicit Random(std::uint64_t seed)
        : engine_(seed) {}

    double unit() { return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1.0p-53; }
    double between(double low, double high) { return low + (high - low) * unit(); }
    double logBetween(double low, double high) { return low * std::pow(high / low, unit()); }
    int whole(int low, int high) { return low + static_cast<int>(unit() * (high - low + 1)); }
    bool chance(double part) { return unit() < part; }
    // Of mean 0 and standard deviation 1.
    double normal() { return std::sqrt(-2.0 * std::log(unit())) * std::cos(2.0 * std::numbers::pi * unit()); }

private:
    std::mt19937_64 engine_;
};

} // namespace potwatch::wild
