// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/serial/spoiled_number.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace potwatch::serial {
namespace {

constexpr double near_k = 2.0; // what a reading may change by from one line to the next and still be known again
constexpr double jump_k = 5.0; // losing a digit, or a sign worth the name, makes a greater one

// The greater number without its first digits is the other one.
bool endsIn(double greater, double other) {
    for (const double power : std::array{10.0, 100.0, 1000.0}) {
        const double apart = std::abs(std::fmod(greater, power) - other);
        // 19.98 and the 0.01 that is left of 20.01 are near each other too.
        if (greater >= power - near_k && other < power && std::min(apart, power - apart) <= near_k) {
            return true;
        }
    }
    return false;
}

} // namespace

bool looksSpoiled(double before, double value) {
    if (std::isnan(before) || std::isnan(value) || std::abs(value - before) <= jump_k) {
        return false;
    }
    const double was = std::abs(before);
    const double is = std::abs(value);
    return std::abs(is - was) <= near_k || endsIn(was, is) || endsIn(is, was);
}

} // namespace potwatch::serial
