// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/progress.h"

#include <chrono>
#include <string>

namespace potwatch::book {

// Tells progress often enough for a person and seldom enough to cost nothing.
class Pace {
public:
    Pace(const Progress& progress, std::string doing)
        : progress_(progress)
        , doing_(std::move(doing)) {}

    void tell(double fraction) {
        const auto now = std::chrono::steady_clock::now();
        if (progress_ && (fraction >= 1.0 || now - told_ >= interval)) {
            told_ = now;
            progress_(fraction, doing_);
        }
    }

private:
    static constexpr std::chrono::milliseconds interval{25};

    const Progress& progress_;
    std::string doing_;
    std::chrono::steady_clock::time_point told_;
};

} // namespace potwatch::book
