// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/hampel.h"

#include "analysis/signal/noise.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <iterator>
#include <optional>

namespace potwatch::signal {

namespace {

// Samples before and after, whose medians a sample is compared with: the longest spike leaves a majority of them sound.
constexpr std::size_t side = 2 * longest_spike + 1;
// Distances are judged against those of this many neighbours on either side.
constexpr std::size_t judged_half = 10;
constexpr double deviation_of_median = 1.482602218505602;
// Rounding moves a reading by half a step, so half a step stands in for the noise where there is less.
constexpr double step_part = 0.5;
// What noise of 1 does to a distance: the sample itself, and the mean of two medians of `side` samples each.
constexpr double distance_gain = 1.05;
constexpr std::size_t fewest_values = 12;
// Fewest samples that give a side line.
constexpr std::size_t fewest_for_line = 3;

double median(std::vector<double>& values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double scaledDeviation(const std::vector<double>& values, double centre) {
    std::vector<double> distances;
    distances.reserve(values.size());
    for (const double value : values) {
        distances.push_back(std::abs(value - centre));
    }
    return deviation_of_median * median(distances);
}

// Medians of a sliding window of `points` values; entry i is that of values i ... i + points - 1.
std::vector<double> slidingMedians(const std::vector<double>& values, std::size_t points) {
    std::vector<double> result;
    if (values.size() < points) {
        return result;
    }
    result.reserve(values.size() - points + 1);
    std::vector<double> sorted(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(points));
    std::sort(sorted.begin(), sorted.end());
    result.push_back(sorted[points / 2]);
    for (std::size_t i = points; i < values.size(); ++i) {
        sorted.erase(std::lower_bound(sorted.begin(), sorted.end(), values[i - points]));
        sorted.insert(std::upper_bound(sorted.begin(), sorted.end(), values[i]), values[i]);
        result.push_back(sorted[points / 2]);
    }
    return result;
}

struct Sound {
    std::vector<std::size_t> index; // in the trace
    std::vector<double> time_s;
    std::vector<double> value;
};

Sound finiteSamples(TraceView trace) {
    Sound sound;
    for (std::size_t i = 0; i < trace.size(); ++i) {
        if (std::isfinite(trace.value[i])) {
            sound.index.push_back(i);
            sound.time_s.push_back(trace.time_s[i]);
            sound.value.push_back(trace.value[i]);
        }
    }
    return sound;
}

// Where the line through samples (Theil's: the median slope, then the median intercept) is at a time.
std::optional<double> lineAt(const Sound& sound, const std::vector<std::size_t>& samples, double at_s) {
    if (samples.size() < fewest_for_line) {
        return std::nullopt;
    }
    std::vector<double> slopes;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        for (std::size_t j = i + 1; j < samples.size(); ++j) {
            slopes.push_back((sound.value[samples[j]] - sound.value[samples[i]]) /
                             (sound.time_s[samples[j]] - sound.time_s[samples[i]]));
        }
    }
    const double slope = median(slopes);
    std::vector<double> levels;
    for (const std::size_t sample : samples) {
        levels.push_back(sound.value[sample] + slope * (at_s - sound.time_s[sample]));
    }
    return median(levels);
}

class SpikeFinder {
public:
    SpikeFinder(Sound sound, const Hampel& settings)
        : sound_(std::move(sound))
        , settings_(settings) {
        taken_.assign(sound_.value.size(), 0);
        measureDistances();
    }

    std::vector<std::size_t> find() {
        // The largest first, so that a spike does not spoil the judgement of its neighbours.
        std::vector<std::size_t> candidates;
        for (std::size_t i = 0; i < distance_.size(); ++i) {
            if (std::abs(distance_[i] - centre_[i]) > settings_.threshold_sigma * floor_) {
                candidates.push_back(i);
            }
        }
        std::stable_sort(candidates.begin(), candidates.end(), [&](std::size_t a, std::size_t b) {
            return std::abs(distance_[a] - centre_[a]) > std::abs(distance_[b] - centre_[b]);
        });
        for (const std::size_t candidate : candidates) {
            if (taken_[candidate] == 0) {
                tryRun(candidate);
            }
        }
        std::vector<std::size_t> result;
        for (std::size_t i = 0; i < taken_.size(); ++i) {
            if (taken_[i] != 0) {
                result.push_back(sound_.index[i]);
            }
        }
        return result;
    }

private:
    // Distance of each sample from the line between the medians before and after; near the ends from the line of its
    // far side.
    void measureDistances() {
        const std::size_t n = sound_.value.size();
        const std::vector<double> medians = slidingMedians(sound_.value, side);
        distance_.resize(n);
        for (std::size_t i = 0; i < n; ++i) {
            if (i >= side && i + side < n) {
                const double before_s = sound_.time_s[i - side / 2 - 1];
                const double after_s = sound_.time_s[i + side / 2 + 1];
                const double part = (sound_.time_s[i] - before_s) / (after_s - before_s);
                const double line = (1.0 - part) * medians[i - side] + part * medians[i + 1];
                distance_[i] = sound_.value[i] - line;
            } else {
                const std::vector<std::size_t> others = i < side ? after(i) : before(i);
                distance_[i] = sound_.value[i] - lineAt(sound_, others, sound_.time_s[i]).value_or(sound_.value[i]);
            }
        }
        std::vector<double> all = distance_;
        const double middle = median(all);
        // The median of rounded readings' distances falls on a step, and may fall short; the noise itself does not.
        floor_ = std::max({scaledDeviation(distance_, middle),
                           distance_gain * noiseStandardDeviation({sound_.time_s, sound_.value}),
                           step_part * settings_.quantisation_step});
        const std::vector<double> centres = slidingMedians(distance_, std::min(n, 2 * judged_half + 1));
        centre_.resize(n);
        for (std::size_t i = 0; i < n; ++i) {
            const std::size_t first = i < judged_half ? 0 : std::min(i - judged_half, centres.size() - 1);
            centre_[i] = centres[first];
        }
    }

    // Up to `side` samples before the i-th that are not taken for spikes, ascending; after likewise.
    [[nodiscard]] std::vector<std::size_t> before(std::size_t i) const {
        std::vector<std::size_t> result;
        while (i-- > 0 && result.size() < side) {
            if (taken_[i] == 0) {
                result.push_back(i);
            }
        }
        std::reverse(result.begin(), result.end());
        return result;
    }

    [[nodiscard]] std::vector<std::size_t> after(std::size_t i) const {
        std::vector<std::size_t> result;
        while (++i < sound_.value.size() && result.size() < side) {
            if (taken_[i] == 0) {
                result.push_back(i);
            }
        }
        return result;
    }

    [[nodiscard]] double sigmaAround(std::size_t i) const {
        std::vector<double> near;
        const std::size_t last = std::min(distance_.size(), i + judged_half + 1);
        for (std::size_t j = i - std::min(i, judged_half); j < last; ++j) {
            if (taken_[j] == 0) {
                near.push_back(distance_[j]);
            }
        }
        return std::max(floor_, scaledDeviation(near, centre_[i]));
    }

    // Takes the candidate and what stands off with it for a spike, if the readings before and after agree that it is
    // one.
    void tryRun(std::size_t candidate) {
        const double limit = settings_.threshold_sigma * sigmaAround(candidate);
        const double deviation = distance_[candidate] - centre_[candidate];
        if (!(std::abs(deviation) > limit)) {
            return;
        }
        const double sign = deviation > 0.0 ? 1.0 : -1.0;
        const auto standsOff = [&](std::size_t i) {
            return taken_[i] == 0 && sign * (distance_[i] - centre_[i]) > limit;
        };
        std::size_t first = candidate;
        std::size_t last = candidate + 1;
        while (first > 0 && last - first <= longest_spike && standsOff(first - 1)) {
            --first;
        }
        while (last < distance_.size() && last - first <= longest_spike && standsOff(last)) {
            ++last;
        }
        if (last - first > longest_spike) {
            return;
        }
        const std::vector<std::size_t> sound_before = before(first);
        const std::vector<std::size_t> sound_after = after(last - 1);
        for (std::size_t i = first; i < last; ++i) {
            const double at_s = sound_.time_s[i];
            for (const std::optional<double>& line :
                 {lineAt(sound_, sound_before, at_s), lineAt(sound_, sound_after, at_s)}) {
                if (line && !(sign * (sound_.value[i] - *line) > limit)) {
                    return;
                }
            }
        }
        std::fill(taken_.begin() + static_cast<std::ptrdiff_t>(first),
                  taken_.begin() + static_cast<std::ptrdiff_t>(last), std::uint8_t{1});
    }

    Sound sound_;
    Hampel settings_;
    std::vector<double> distance_;
    std::vector<double> centre_; // sliding median of the distances: what curvature adds to all of them
    double floor_ = 0.0;
    std::vector<std::uint8_t> taken_;
};

} // namespace

std::vector<std::size_t> spikes(TraceView trace, const Hampel& settings) {
    Sound sound = finiteSamples(trace);
    if (sound.value.size() < fewest_values) {
        return {};
    }
    return SpikeFinder(std::move(sound), settings).find();
}

} // namespace potwatch::signal
