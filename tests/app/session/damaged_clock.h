// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::session {

// A recorded cure whose clock has one to ten wrong entries: a changed digit, two rows swapped, a jump by years that
// lasts, one that does not, no number, a time that repeats. Invented; the same seed gives the same table.
inline std::string tableWithADamagedClock(std::uint32_t seed) {
    std::mt19937 random(seed);
    const auto upTo = [&](std::size_t most) { return static_cast<std::size_t>(random()) % (most + 1); };
    const double start_s = upTo(1) == 0 ? 0.0 : 1.7e9;
    const double step_s = upTo(1) == 0 ? 0.5 : 10.0;
    const std::size_t rows = 300 + upTo(700);
    std::vector<std::string> times;
    for (std::size_t row = 0; row < rows; ++row) {
        times.push_back(fmt::format("{:.1f}", start_s + step_s * static_cast<double>(row)));
    }
    constexpr double years_s = 3.2e8;
    for (std::size_t damage = 0; damage <= upTo(9); ++damage) {
        const std::size_t row = upTo(rows - 1);
        switch (upTo(5)) {
        case 0: {
            std::string& time = times[row];
            char& digit = time[upTo(time.size() - 1)];
            digit = digit == '.' ? '.' : static_cast<char>('0' + upTo(9));
            break;
        }
        case 1:
            std::swap(times[row], times[upTo(rows - 1)]);
            break;
        case 2:
            for (std::size_t later = row; later < rows; ++later) {
                times[later] = fmt::format("{:.1f}", start_s + years_s + step_s * static_cast<double>(later));
            }
            break;
        case 3:
            times[row] = fmt::format("{:.1f}", start_s + years_s * static_cast<double>(1 + upTo(8)));
            break;
        case 4:
            times[row] = upTo(1) == 0 ? "nan" : "";
            break;
        default:
            times[row] = times[row > 0 ? row - 1 : 0];
            break;
        }
    }
    std::string text = "time_s,pot_c\n";
    for (std::size_t row = 0; row < rows; ++row) {
        const double part = static_cast<double>(row) / static_cast<double>(rows);
        const double temperature_c = 22.0 + 50.0 / (1.0 + std::exp(-(part - 0.3) * 40.0)) * std::exp(-2.0 * part);
        text += fmt::format("{},{:.2f}\n", times[row], temperature_c);
    }
    return text;
}

} // namespace potwatch::session
