// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/sensor_watch.h"

#include <algorithm>
#include <cmath>

namespace potwatch::watch {

namespace {

constexpr double open_for_s = 3.0;
constexpr std::size_t open_scans = 3;
constexpr double open_intervals = 5.0;
constexpr double open_after_one_s = 60.0; // where one number alone has come: its usual interval is not known

constexpr double least_repeat_s = 20.0;
constexpr double log_of_chance = -20.7; // ln 1e-9
constexpr double steps_away = 5.0;
constexpr std::size_t readings_to_know = 60; // before the share of changes means something
constexpr double newest_share = 0.02;        // of a running mean

} // namespace

void SensorWatch::add(double time_s, double value, std::optional<double> expected_move_per_s) {
    if (!std::isfinite(value)) {
        ++missing_;
        open_ = last_number_s_ && missing_ >= open_scans &&
                time_s - *last_number_s_ >=
                    (interval_s_ > 0.0 ? std::max(open_for_s, open_intervals * interval_s_) : open_after_one_s);
        return;
    }
    missing_ = 0;
    open_ = false;
    if (last_number_s_) {
        const double interval_s = time_s - *last_number_s_;
        interval_s_ = interval_s_ > 0.0 ? interval_s_ + newest_share * (interval_s - interval_s_) : interval_s;
    }
    last_number_s_ = time_s;
    if (value_ && value == *value_) {
        ++same_;
        judgeFrozen(time_s);
        return;
    }
    if (value_) {
        const double step = std::abs(value - *value_);
        usual_step_ = usual_step_ > 0.0 ? usual_step_ + newest_share * (step - usual_step_) : step;
        if (!frozen_) { // of the repeats that were chance: each same reading counts 0, this one 1
            const double before = changing_share_ * std::pow(1.0 - newest_share, static_cast<double>(same_));
            changing_share_ = before + newest_share * (1.0 - before);
            judged_ += same_ + 1;
        }
    }
    value_ = value;
    same_ = 0;
    same_from_s_ = time_s;
    move_per_s_ = expected_move_per_s;
    frozen_ = false;
}

void SensorWatch::judgeFrozen(double time_s) {
    const double repeat_s = time_s - same_from_s_;
    if (frozen_ || judged_ < readings_to_know || repeat_s < least_repeat_s || !move_per_s_) {
        return;
    }
    const double share = std::clamp(changing_share_, 1e-6, 1.0 - 1e-6);
    const bool beyond_chance = static_cast<double>(same_) * std::log(1.0 - share) < log_of_chance;
    frozen_ = beyond_chance && std::abs(*move_per_s_) * repeat_s > steps_away * usual_step_;
}

} // namespace potwatch::watch
