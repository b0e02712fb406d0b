// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cmath>
#include <cstddef>
#include <limits>
#include <span>
#include <stop_token>
#include <vector>

namespace potwatch::report {

// The values of a trace, or the lower and upper limits of a band, where they already lie.
// Shape: low_of and high_of of one length (for a trace the same values twice); spread empty or as long. NaN = missing.
struct Samples {
    std::span<const double> low_of{};
    std::span<const double> high_of{};
    std::span<const double> spread{}; // limits are values -+ times * spread
    double times = 0.0;

    [[nodiscard]] std::size_t size() const { return low_of.size(); }
    [[nodiscard]] double low(std::size_t i) const { return spread.empty() ? low_of[i] : low_of[i] - times * spread[i]; }
    [[nodiscard]] double high(std::size_t i) const {
        return spread.empty() ? high_of[i] : high_of[i] + times * spread[i];
    }
    [[nodiscard]] bool known(std::size_t i) const { return std::isfinite(low(i)) && std::isfinite(high(i)); }
};

[[nodiscard]] inline Samples samplesOf(std::span<const double> values) {
    return {.low_of = values, .high_of = values, .spread = {}, .times = 0.0};
}

// Lowest and highest of some samples, rounded to single precision; low > high where none is known.
struct Extremes {
    float low = std::numeric_limits<float>::infinity();
    float high = -std::numeric_limits<float>::infinity();

    bool operator==(const Extremes&) const = default;
    [[nodiscard]] bool empty() const { return low > high; }
};

// Lowest and highest of every 16, 256, 4096 ... samples, so that a picture of 10^7 samples looks at a few thousand
// numbers. The samples stay where they are and are handed in again with each question. Rounding to single precision
// keeps order, so that each answer is exactly the rounded answer of a scan of all samples.
class Pyramid {
public:
    static constexpr std::size_t factor = 16;

    // Takes in what the samples have beyond size(). Cost: O(what is new). Where it is stopped, it holds a part.
    void grow(const Samples& samples, const std::stop_token& stop = {});

    [[nodiscard]] std::size_t size() const { return size_; }
    [[nodiscard]] std::size_t bytes() const;

    // Of the samples [first, last). Assumes: the samples it was grown with (they may have grown since); last <= size().
    [[nodiscard]] Extremes extremes(const Samples& samples, std::size_t first, std::size_t last) const;
    // The first and the last known sample of [first, last); last, where none is known.
    [[nodiscard]] std::size_t firstKnown(const Samples& samples, std::size_t first, std::size_t last) const;
    [[nodiscard]] std::size_t lastKnown(const Samples& samples, std::size_t first, std::size_t last) const;

private:
    std::vector<std::vector<Extremes>> levels_; // [0]: 16 samples a bucket; the last bucket may be incomplete
    std::size_t size_ = 0;
};

// The same questions answered from the samples alone.
[[nodiscard]] Extremes extremesOf(const Samples& samples, std::size_t first, std::size_t last);

} // namespace potwatch::report
