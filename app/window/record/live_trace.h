// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <vector>

namespace potwatch::window {

// One channel as it is drawn while it grows: lowest and highest reading of each short stretch. However long the run, it
// stays small: where there are too many stretches, each two neighbours become one.
class LiveTrace {
public:
    static constexpr std::size_t most_stretches = 8192;

    struct Stretch {
        double from_s = 0.0;
        double to_s = 0.0;
        double low = 0.0;
        double high = 0.0;
        std::size_t scans = 0; // with a reading; 0 = a gap
    };

    // Times never go back; a value that is no number is a gap.
    void add(double time_s, double value);

    [[nodiscard]] const std::vector<Stretch>& stretches() const { return stretches_; }

private:
    void halve();

    std::vector<Stretch> stretches_;
    std::size_t scans_each_ = 1;
    std::size_t scans_in_last_ = 0;
};

} // namespace potwatch::window
