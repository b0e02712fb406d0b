// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/landmarks/spans.h"

#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace potwatch::landmarks {

namespace {

constexpr double smallest_share_of_largest = 0.1;
// Surroundings that were warmer than the pot by so much heated it; what is called air may be off by some of it.
constexpr double heating_k = 3.0;
// The temperature stands where the rate has fallen to this share of the highest before and after it, by more than noise
// does.
constexpr double stand_share = 0.1;
constexpr double stand_sigma = 4.0;

std::size_t indexAtOrAfter(const std::vector<double>& time_s, double at_s) {
    const auto found = std::lower_bound(time_s.begin(), time_s.end(), at_s);
    return std::min(static_cast<std::size_t>(found - time_s.begin()), time_s.size() - 1);
}

// Peaks whose prominence (height above the higher of the two valleys beside them) is at least `prominence`.
std::vector<Span> prominentPeaks(const std::vector<double>& value, double prominence) {
    // One pass with hysteresis: a peak stands when the value has fallen by `prominence` below it, a valley when it has
    // risen.
    std::vector<Span> spans;
    std::size_t valley = 0;
    std::size_t peak = 0;
    bool rising = false;
    for (std::size_t i = 0; i < value.size(); ++i) {
        if (!rising) {
            if (value[i] < value[valley]) {
                valley = i;
            }
            if (value[i] >= value[valley] + prominence) {
                rising = true;
                peak = i;
                if (!spans.empty()) {
                    spans.back().next_valley = valley;
                }
            }
        } else {
            if (value[i] > value[peak]) {
                peak = i;
            }
            if (value[i] <= value[peak] - prominence) {
                spans.push_back({.from = valley, .peak = peak, .next_valley = value.size() - 1});
                rising = false;
                valley = i;
            }
        }
    }
    if (rising) {
        spans.push_back({.from = valley, .peak = peak, .next_valley = value.size() - 1});
    }
    return spans;
}

class Finder {
public:
    Finder(const Course& course, const Curves& curves, const Heating& heating)
        : course_(course)
        , curves_(curves)
        , dose_start_s_(heating.dose_cures ? heating.dose_start_s : std::nullopt)
        , loss_known_(heating.loss_known) {
        if (heating.surroundings_c.size() > 0) {
            over_k_ = signal::linear(heating.surroundings_c.time_s, heating.surroundings_c.value, course.time_s);
            std::transform(course.temperature_c.begin(), course.temperature_c.end(), over_k_.begin(), over_k_.begin(),
                           [](double pot_c, double surroundings_c) { return pot_c - surroundings_c; });
        }
    }

    std::vector<Span> find(double least_k) const {
        const std::vector<Span> all = curesOf(prominentPeaks(course_.temperature_c, least_k), least_k);
        double largest_k = 0.0;
        for (const Span& span : all) {
            largest_k = std::max(largest_k, heightOf(span));
        }
        const double enough_k = std::max(least_k, smallest_share_of_largest * largest_k);
        std::vector<Span> parts;
        for (const Span& span : prominentPeaks(course_.temperature_c, enough_k)) {
            splitAtStands(span, enough_k, parts);
        }
        return curesOf(std::move(parts), enough_k);
    }

private:
    [[nodiscard]] double heightOf(const Span& span) const {
        return span.over_heating ? over_k_[span.peak]
                                 : course_.temperature_c[span.peak] - course_.temperature_c[span.from];
    }

    [[nodiscard]] std::vector<Span> curesOf(std::vector<Span> spans, double enough_k) const {
        if (!spans.empty()) {
            spans.front().from_start = true;
        }
        for (Span& span : spans) {
            startOverHeating(span);
            startAfterDose(span, enough_k);
        }
        std::erase_if(spans, [&](const Span& span) {
            return heightOf(span) < (span.over_heating ? std::max(heating_k, enough_k) : enough_k) ||
                   (dose_start_s_ && course_.time_s[span.peak] <= *dose_start_s_);
        });
        return spans;
    }

    // Where the surroundings heated the pot, the cure's own part begins where the pot becomes the warmer one.
    void startOverHeating(Span& span) const {
        if (over_k_.empty()) {
            return;
        }
        const auto first = over_k_.begin() + static_cast<std::ptrdiff_t>(span.from);
        const auto last = over_k_.begin() + static_cast<std::ptrdiff_t>(span.peak);
        if (*std::min_element(first, last + 1) > -heating_k) {
            return;
        }
        if (loss_known_ && *std::max_element(first, last + 1) < heating_k) {
            return; // a cure so small that the pot stays behind its bath: the balance sees it
        }
        span.over_heating = true;
        const auto colder = std::find_if(std::make_reverse_iterator(last + 1), std::make_reverse_iterator(first),
                                         [](double over_k) { return over_k < 0.0; });
        span.from = std::min(span.peak, static_cast<std::size_t>(colder.base() - over_k_.begin()));
    }

    // What warmed the pot before the dose was no cure.
    void startAfterDose(Span& span, double enough_k) const {
        if (!dose_start_s_) {
            return;
        }
        const std::size_t dosed = indexAtOrAfter(course_.time_s, *dose_start_s_);
        if (dosed > span.from && dosed < span.peak &&
            course_.temperature_c[dosed] >= course_.temperature_c[span.from] + enough_k) {
            span.from = dosed;
            span.from_start = false;
        }
    }

    void splitAtStands(const Span& span, double enough_k, std::vector<Span>& parts) const {
        const std::optional<std::size_t> stand = standWithin(span, enough_k);
        if (!stand) {
            parts.push_back(span);
            return;
        }
        splitAtStands({.from = span.from, .peak = *stand, .next_valley = *stand}, enough_k, parts);
        splitAtStands({.from = *stand, .peak = span.peak, .next_valley = span.next_valley}, enough_k, parts);
    }

    // The knot between two rises of one span, each large enough, at which the temperature stands most nearly still.
    [[nodiscard]] std::optional<std::size_t> standWithin(const Span& span, double enough_k) const {
        const std::vector<double>& rate = course_.rate_k_per_s;
        const std::size_t first = indexAtOrAfter(course_.rate_time_s, course_.time_s[span.from]);
        const std::size_t last = indexAtOrAfter(course_.rate_time_s, course_.time_s[span.peak]);
        if (last < first + 2) {
            return std::nullopt;
        }
        std::vector<double> later(last - first + 1); // highest rate from there on
        later.back() = rate[last];
        for (std::size_t k = last; k-- > first;) {
            later[k - first] = std::max(rate[k], later[k + 1 - first]);
        }
        double earlier = rate[first];
        double stillest = stand_share;
        std::optional<std::size_t> found;
        double passed = 0.0;
        for (std::size_t k = first + 1; k < last; ++k) {
            earlier = std::max(earlier, rate[k]);
            const double either = std::min(earlier, later[k - first]);
            const double at_c = course_.temperatureAt(course_.rate_time_s[k]);
            if (either > 0.0 && rate[k] < stillest * either && at_c >= course_.temperature_c[span.from] + enough_k &&
                at_c <= course_.temperature_c[span.peak] - enough_k) {
                found = k;
                stillest = rate[k] / either;
                passed = either;
            }
        }
        if (!found || passed - rate[*found] < stand_sigma * signal::uncertaintyAtKnot(curves_.rate, *found,
                                                                                      course_.lag_s, curves_.noise_k)) {
            return std::nullopt;
        }
        const std::size_t knot = indexAtOrAfter(course_.time_s, course_.rate_time_s[*found]);
        return knot > span.from && knot < span.peak ? std::optional(knot) : std::nullopt;
    }

    const Course& course_;
    const Curves& curves_;
    std::optional<double> dose_start_s_;
    bool loss_known_ = false;    // of what the cure needs
    std::vector<double> over_k_; // pot above its surroundings; empty where they were not measured
};

} // namespace

std::vector<Span> cureSpans(const Course& course, const Curves& curves, double least_k, const Heating& heating) {
    return Finder(course, curves, heating).find(least_k);
}

} // namespace potwatch::landmarks
