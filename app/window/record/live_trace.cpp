// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/live_trace.h"

#include <algorithm>
#include <cmath>

namespace potwatch::window {
namespace {

LiveTrace::Stretch joined(const LiveTrace::Stretch& a, const LiveTrace::Stretch& b) {
    LiveTrace::Stretch both{.from_s = a.from_s, .to_s = b.to_s, .low = a.low, .high = a.high, .scans = a.scans};
    if (a.scans == 0) {
        both.low = b.low;
        both.high = b.high;
    } else if (b.scans > 0) {
        both.low = std::min(a.low, b.low);
        both.high = std::max(a.high, b.high);
    }
    both.scans += b.scans;
    return both;
}

} // namespace

void LiveTrace::add(double time_s, double value) {
    const bool reads = std::isfinite(value);
    const Stretch one{.from_s = time_s,
                      .to_s = time_s,
                      .low = reads ? value : 0.0,
                      .high = reads ? value : 0.0,
                      .scans = reads ? std::size_t{1} : std::size_t{0}};
    if (stretches_.empty() || scans_in_last_ == scans_each_) {
        if (stretches_.size() == most_stretches) {
            halve();
        }
        stretches_.push_back(one);
        scans_in_last_ = 1;
    } else {
        stretches_.back() = joined(stretches_.back(), one);
        ++scans_in_last_;
    }
}

void LiveTrace::halve() {
    for (std::size_t i = 0; 2 * i + 1 < stretches_.size(); ++i) {
        stretches_[i] = joined(stretches_[2 * i], stretches_[2 * i + 1]);
    }
    stretches_.resize(stretches_.size() / 2);
    scans_each_ *= 2;
}

} // namespace potwatch::window
