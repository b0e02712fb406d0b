// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>

namespace potwatch::watch {

// Whether one channel still gives readings that can be believed.
class SensorWatch {
public:
    // A scan's reading, NaN where there was none. expected_move_per_s: how fast the channel moved when it last had a
    // trend, empty where that is not known or not more than its noise.
    void add(double time_s, double value, std::optional<double> expected_move_per_s);

    // It gave numbers, and gives none any more: for three scans, three seconds, and five of its usual intervals
    // (a minute where only one number has come).
    [[nodiscard]] bool open() const { return open_; }
    // It has never given a number.
    [[nodiscard]] bool silent() const { return !last_number_s_; }
    // It repeats one reading longer than chance allows: by the share of readings that used to differ from the one
    // before, chance would do so less than once in 10^9 times; and it was moving, so that it should by now stand at
    // least five of its steps away. Source: common practice, no source.
    [[nodiscard]] bool frozen() const { return frozen_; }

private:
    void judgeFrozen(double time_s);

    std::optional<double> last_number_s_;
    double interval_s_ = 0.0;
    std::size_t missing_ = 0;
    std::optional<double> value_;
    double same_from_s_ = 0.0;
    std::size_t same_ = 0;        // readings in a row like value_, after the first
    double changing_share_ = 1.0; // of readings that differ from the one before, running, before the present repeat
    std::size_t judged_ = 0;
    double usual_step_ = 0.0;
    std::optional<double> move_per_s_; // when the present repeat began
    bool open_ = false;
    bool frozen_ = false;
};

} // namespace potwatch::watch
