// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/report/pyramid.h"

#include <algorithm>
#include <cassert>

namespace potwatch::report {
namespace {

float rounded(double value) {
    constexpr double most = std::numeric_limits<float>::max();
    return static_cast<float>(std::clamp(value, -most, most));
}

void take(Extremes& all, const Extremes& more) {
    all.low = std::min(all.low, more.low);
    all.high = std::max(all.high, more.high);
}

void take(Extremes& all, const Samples& samples, std::size_t i) {
    const double low = samples.low(i);
    const double high = samples.high(i);
    if (std::isfinite(low) && std::isfinite(high)) {
        take(all, {.low = rounded(low), .high = rounded(high)});
    }
}

} // namespace

Extremes extremesOf(const Samples& samples, std::size_t first, std::size_t last) {
    if (samples.spread.empty() && samples.low_of.data() == samples.high_of.data()) { // a trace: one number a sample
        double low = std::numeric_limits<double>::infinity();
        double high = -std::numeric_limits<double>::infinity();
        for (std::size_t i = first; i < last; ++i) {
            const double value = samples.low_of[i];
            const bool known = std::isfinite(value);
            low = known && value < low ? value : low;
            high = known && value > high ? value : high;
        }
        return low > high ? Extremes{} : Extremes{.low = rounded(low), .high = rounded(high)};
    }
    Extremes all;
    for (std::size_t i = first; i < last; ++i) {
        take(all, samples, i);
    }
    return all;
}

void Pyramid::grow(const Samples& samples, const std::stop_token& stop) {
    constexpr std::size_t between_looks = 4096; // buckets, before asking whether to stop
    const std::size_t before = size_;
    std::size_t below = samples.size(); // things of the level below
    std::size_t first = before / factor;
    for (std::size_t level = 0; level == 0 ? below > 0 : below > 1; ++level) {
        if (level == levels_.size()) {
            levels_.emplace_back();
        }
        std::vector<Extremes>& buckets = levels_[level];
        const std::size_t count = (below + factor - 1) / factor;
        buckets.resize(count);
        for (std::size_t bucket = first; bucket < count; ++bucket) {
            if (bucket % between_looks == 0 && stop.stop_requested()) {
                return;
            }
            const std::size_t from = bucket * factor;
            const std::size_t to = std::min(from + factor, below);
            if (level == 0) {
                buckets[bucket] = extremesOf(samples, from, to);
            } else {
                Extremes all;
                for (std::size_t i = from; i < to; ++i) {
                    take(all, levels_[level - 1][i]);
                }
                buckets[bucket] = all;
            }
        }
        below = count;
        first /= factor;
    }
    size_ = samples.size();
}

std::size_t Pyramid::bytes() const {
    std::size_t sum = 0;
    for (const auto& level : levels_) {
        sum += level.capacity() * sizeof(Extremes);
    }
    return sum;
}

Extremes Pyramid::extremes(const Samples& samples, std::size_t first, std::size_t last) const {
    assert(last <= size_);
    Extremes all;
    // From both ends inwards to whole buckets, then the same among those.
    while (first < last && first % factor != 0) {
        take(all, samples, first++);
    }
    while (first < last && last % factor != 0) {
        take(all, samples, --last);
    }
    for (std::size_t level = 0; first < last; ++level) {
        first /= factor;
        last /= factor;
        const std::vector<Extremes>& buckets = levels_[level];
        const bool top = level + 1 == levels_.size();
        while (first < last && (top || first % factor != 0)) {
            take(all, buckets[first++]);
        }
        while (first < last && last % factor != 0) {
            take(all, buckets[--last]);
        }
    }
    return all;
}

std::size_t Pyramid::firstKnown(const Samples& samples, std::size_t first, std::size_t last) const {
    std::size_t i = first;
    while (i < last) {
        // The widest bucket that begins here, then down to one that is empty: that much can be passed over.
        std::size_t level = 0; // 0 = a single sample, k = buckets of level k - 1
        std::size_t width = 1;
        while (level < levels_.size() && i % (width * factor) == 0 && i + width * factor <= last) {
            width *= factor;
            ++level;
        }
        while (level > 0 && !levels_[level - 1][i / width].empty()) {
            width /= factor;
            --level;
        }
        if (level == 0 && samples.known(i)) {
            return i;
        }
        i += width;
    }
    return last;
}

std::size_t Pyramid::lastKnown(const Samples& samples, std::size_t first, std::size_t last) const {
    std::size_t end = last;
    while (end > first) {
        std::size_t level = 0;
        std::size_t width = 1;
        while (level < levels_.size() && end % (width * factor) == 0 && end >= first + width * factor) {
            width *= factor;
            ++level;
        }
        while (level > 0 && !levels_[level - 1][end / width - 1].empty()) {
            width /= factor;
            --level;
        }
        if (level == 0 && samples.known(end - 1)) {
            return end - 1;
        }
        end -= width;
    }
    return last;
}

} // namespace potwatch::report
