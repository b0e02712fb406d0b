// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/signal/smooth_curve.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

namespace potwatch::signal {

namespace {

// The ladder of half widths: each rung this much wider than the one below.
constexpr double rung_ratio = 1.25;
// The window used is narrower than the widest that agrees by this factor: its bias is then well under its noise.
// Chosen, with undersmoothingOf, on simulated pots; judged on others by tests/reference/coverage_slow_test.cpp.
constexpr double narrowingOf(Aim aim) {
    return aim == Aim::level ? 0.55 : 0.6;
}
// A stretch of narrow windows shorter than this share of the width beside it is noise. Without this, one onset in some
// hundred lies minutes off.
constexpr double shortestBreakOf(Aim aim) {
    return aim == Aim::level ? 0.15 : 0.2;
}
// How much narrower the window is whose noise stands for the uncertainty of a slope of the level.
constexpr double slope_undersmoothing = 1.4;
// Samples in the narrowest half width: order 4 and some to spare.
constexpr double narrowest_samples = 5.0;
// Half width of the agreement that a wider window must keep with the narrower ones, in standard deviations: small
// enough to see a bias, large enough that the many comparisons seldom stop on noise.
double agreementSigmaOf(Aim aim) {
    return aim == Aim::level ? 2.5 : 3.0;
}
// A rung is evaluated at so many places per half width; cubic interpolation between them is then exact to 1e-4 of its
// noise.
constexpr double places_per_half_width = 4.0;
constexpr double knots_per_half_width = 8.0;
// A window reads bins when its half width holds this many of them.
constexpr double bins_per_half_width = 24.0;
// A gap counts for no more than so many usual intervals where work is shared out over the trace.
constexpr double longest_gap_intervals = 400.0;
// Noise of a noiseless trace, as a share of its range: keeps the rule from choosing the narrowest window everywhere.
constexpr double smallest_noise_share = 1e-6;

int orderOf(Aim aim) {
    return aim == Aim::level ? 3 : 4;
}

struct Binned {
    double width_s = 0.0;
    double share = 1.0; // of the noise that is left in a bin: 1 / sqrt(samples a bin)
    std::vector<double> time_s;
    std::vector<double> value;

    [[nodiscard]] TraceView view() const { return {time_s, value}; }
};

// The trace itself, then averaged in pairs again and again.
std::vector<Binned> pyramid(TraceView trace, double interval_s) {
    std::vector<Binned> levels(1);
    levels[0].width_s = interval_s;
    for (std::size_t i = 0; i < trace.size(); ++i) {
        if (std::isfinite(trace.value[i])) {
            levels[0].time_s.push_back(trace.time_s[i]);
            levels[0].value.push_back(trace.value[i]);
        }
    }
    while (levels.back().time_s.size() > 64) {
        const Binned& fine = levels.back();
        Binned coarse{.width_s = 2.0 * fine.width_s, .share = fine.share / std::sqrt(2.0)};
        coarse.time_s.reserve(fine.time_s.size() / 2 + 1);
        coarse.value.reserve(fine.time_s.size() / 2 + 1);
        for (std::size_t i = 0; i < fine.time_s.size();) {
            // A gap is not bridged by a bin.
            const bool pair = i + 1 < fine.time_s.size() && fine.time_s[i + 1] - fine.time_s[i] < 4.0 * fine.width_s;
            coarse.time_s.push_back(pair ? 0.5 * (fine.time_s[i] + fine.time_s[i + 1]) : fine.time_s[i]);
            coarse.value.push_back(pair ? 0.5 * (fine.value[i] + fine.value[i + 1]) : fine.value[i]);
            i += pair ? 2 : 1;
        }
        levels.push_back(std::move(coarse));
    }
    return levels;
}

// The coarsest level that still resolves a window.
const Binned& levelFor(const std::vector<Binned>& levels, double half_width_s) {
    std::size_t chosen = 0;
    while (chosen + 1 < levels.size() && levels[chosen + 1].width_s * bins_per_half_width <= half_width_s) {
        ++chosen;
    }
    return levels[chosen];
}

void append(LocalFit& to, LocalFit from) {
    if (to.value.empty()) { // mostly one level serves all places
        to = std::move(from);
        return;
    }
    const auto join = [](std::vector<double>& a, const std::vector<double>& b) {
        a.insert(a.end(), b.begin(), b.end());
    };
    join(to.value, from.value);
    join(to.slope_per_s, from.slope_per_s);
    join(to.curvature_per_s2, from.curvature_per_s2);
    join(to.value_gain, from.value_gain);
    join(to.slope_gain, from.slope_gain);
    join(to.curvature_gain, from.curvature_gain);
    join(to.value_slope_covariance, from.value_slope_covariance);
    join(to.slope_curvature_covariance, from.slope_curvature_covariance);
}

// Fits at places whose windows may read different levels; gains are brought back to the noise of single samples.
LocalFit fitAt(const std::vector<Binned>& levels, std::span<const double> at_s, std::span<const double> half_width_s,
               int order) {
    LocalFit all;
    for (std::size_t first = 0; first < at_s.size();) {
        const Binned& level = levelFor(levels, half_width_s[first]);
        std::size_t last = first + 1;
        while (last < at_s.size() && &levelFor(levels, half_width_s[last]) == &level) {
            ++last;
        }
        // Bins start half a bin inside the trace: the ends are evaluated at the outermost bins' own polynomial.
        std::vector<double> inside(at_s.begin() + static_cast<std::ptrdiff_t>(first),
                                   at_s.begin() + static_cast<std::ptrdiff_t>(last));
        std::vector<double> beyond(inside.size(), 0.0);
        for (std::size_t i = 0; i < inside.size(); ++i) {
            const double kept = std::clamp(inside[i], level.time_s.front(), level.time_s.back());
            beyond[i] = inside[i] - kept;
            inside[i] = kept;
        }
        LocalFit part =
            localPolynomialAt(level.view(), inside, half_width_s.subspan(first, last - first), order, Kernel::tricube);
        for (std::size_t i = 0; i < inside.size(); ++i) {
            part.value[i] += beyond[i] * (part.slope_per_s[i] + 0.5 * beyond[i] * part.curvature_per_s2[i]);
            part.slope_per_s[i] += beyond[i] * part.curvature_per_s2[i];
            part.value_gain[i] *= level.share;
            part.slope_gain[i] *= level.share;
            part.curvature_gain[i] *= level.share;
            part.value_slope_covariance[i] *= level.share * level.share;
            part.slope_curvature_covariance[i] *= level.share * level.share;
        }
        append(all, std::move(part));
        first = last;
    }
    return all;
}

// Value and noise gain of the aim, with the window narrowed by `narrower` (gains grow with known powers of the width).
double aimOf(Aim aim, const LocalFit& fit, std::size_t i, double lag_s) {
    return aim == Aim::level ? fit.value[i] + lag_s * fit.slope_per_s[i]
                             : fit.slope_per_s[i] + lag_s * fit.curvature_per_s2[i];
}

double gainOf(Aim aim, const LocalFit& fit, std::size_t i, double lag_s, double narrower) {
    const double root = std::sqrt(narrower);
    const double value = fit.value_gain[i] * root;
    const double slope = fit.slope_gain[i] * root * narrower;
    const double curvature = fit.curvature_gain[i] * root * narrower * narrower;
    const double covariance = aim == Aim::level
                                  ? fit.value_slope_covariance[i] * narrower * narrower
                                  : fit.slope_curvature_covariance[i] * narrower * narrower * narrower * narrower;
    const double first = aim == Aim::level ? value : slope;
    const double second = lag_s * (aim == Aim::level ? slope : curvature);
    return std::sqrt(std::max(0.0, first * first + 2.0 * lag_s * covariance + second * second));
}

// A stretch without samples, between two of them.
struct Gap {
    double from_s = 0.0;
    double to_s = 0.0;
};

std::vector<Gap> gapsOf(const std::vector<double>& time_s, double longer_than_s) {
    std::vector<Gap> gaps;
    for (std::size_t i = 1; i < time_s.size(); ++i) {
        if (time_s[i] - time_s[i - 1] > longer_than_s) {
            gaps.push_back({.from_s = time_s[i - 1], .to_s = time_s[i]});
        }
    }
    return gaps;
}

// A clock that runs through long gaps in no more than longest_s each: work in even steps of it follows the samples, not
// the span, which one wrong time makes as long as it likes. Without a long gap it is the time itself.
class ShortenedTime {
public:
    ShortenedTime(double from_s, double to_s, std::vector<Gap> long_gaps, double longest_s)
        : from_s_(from_s)
        , gaps_(std::move(long_gaps))
        , longest_s_(longest_s) {
        double taken_s = 0.0;
        for (const Gap& gap : gaps_) {
            begins_.push_back(gap.from_s - taken_s);
            taken_s += gap.to_s - gap.from_s - longest_s;
        }
        end_ = to_s - taken_s;
    }

    [[nodiscard]] double span() const { return end_ - from_s_; }

    [[nodiscard]] double of(double time_s) const {
        const auto after = std::upper_bound(gaps_.begin(), gaps_.end(), time_s,
                                            [](double value, const Gap& gap) { return value < gap.from_s; });
        if (after == gaps_.begin()) {
            return time_s;
        }
        const Gap& gap = *(after - 1);
        const double begins = begins_[static_cast<std::size_t>(after - gaps_.begin()) - 1];
        return time_s < gap.to_s ? begins + longest_s_ * (time_s - gap.from_s) / (gap.to_s - gap.from_s)
                                 : begins + longest_s_ + (time_s - gap.to_s);
    }

    // The time that comes step_s after time_s on this clock; never past the edge of a long gap in one step.
    [[nodiscard]] double later(double time_s, double step_s) const {
        const auto after = std::upper_bound(gaps_.begin(), gaps_.end(), time_s,
                                            [](double value, const Gap& gap) { return value < gap.to_s; });
        if (after == gaps_.end() || time_s + step_s <= after->from_s) {
            return time_s + step_s;
        }
        if (time_s < after->from_s) {
            return after->from_s;
        }
        const double stretch = (after->to_s - after->from_s) / longest_s_;
        return std::min(after->to_s, time_s + step_s * stretch);
    }

    // Places in even steps of this clock, in times. Shape: ascending; begins and ends with the trace.
    [[nodiscard]] std::vector<double> evenly(double step_s) const {
        const auto steps = static_cast<std::size_t>(std::max(1.0, std::ceil(span() / step_s)));
        std::vector<double> at(steps + 1);
        std::size_t gap = 0; // those before it are passed
        for (std::size_t i = 0; i <= steps; ++i) {
            const double clock = from_s_ + span() * static_cast<double>(i) / static_cast<double>(steps);
            while (gap < gaps_.size() && clock >= begins_[gap] + longest_s_) {
                ++gap;
            }
            const double passed_s = gap == 0 ? 0.0 : gaps_[gap - 1].to_s - begins_[gap - 1] - longest_s_;
            at[i] =
                gap < gaps_.size() && clock > begins_[gap]
                    ? gaps_[gap].from_s + (clock - begins_[gap]) / longest_s_ * (gaps_[gap].to_s - gaps_[gap].from_s)
                    : clock + passed_s;
        }
        return at;
    }

private:
    double from_s_;
    std::vector<Gap> gaps_;
    double longest_s_;
    std::vector<double> begins_; // of the gaps, on this clock
    double end_ = 0.0;
};

// Places of a rung: samples (or bins) themselves, so that on even spacing one set of weights serves all.
std::vector<double> placesFor(const Binned& level, double half_width_s) {
    const auto stride =
        static_cast<std::size_t>(std::max(1.0, std::floor(half_width_s / (places_per_half_width * level.width_s))));
    std::vector<double> places;
    for (std::size_t i = 0; i < level.time_s.size(); i += stride) {
        places.push_back(level.time_s[i]);
    }
    if (places.back() < level.time_s.back()) {
        places.push_back(level.time_s.back());
    }
    return places;
}

// Chosen half widths flicker with the noise: the median over a neighbourhood of their own size. Centres are evenly
// spaced.
std::vector<double> steadied(double centre_step_s, const std::vector<double>& raw) {
    constexpr std::size_t most_neighbours = 41;
    std::vector<double> steady(raw.size());
    std::vector<double> window;
    for (std::size_t i = 0; i < raw.size(); ++i) {
        const auto reach = static_cast<std::size_t>(raw[i] / centre_step_s);
        const std::size_t first = i - std::min(i, reach);
        const std::size_t last = std::min(raw.size(), i + reach + 1);
        const std::size_t stride = std::max<std::size_t>(1, (last - first) / most_neighbours);
        window.clear();
        for (std::size_t k = first; k < last; k += stride) {
            window.push_back(raw[k]);
        }
        const auto middle = window.begin() + static_cast<std::ptrdiff_t>(window.size() / 2);
        std::nth_element(window.begin(), middle, window.end());
        steady[i] = *middle;
    }
    return steady;
}

// Now and then noise alone stops a window that the places beside it show to be far too narrow. A break in the trace
// narrows the windows about it to their distance from it, so that the stretch under a width is twice that width: one
// that is shorter by far is no break, and takes the width of its shores. So does one at an end of the trace.
void fillDips(Aim aim, double centre_step_s, std::vector<double>& half_width_s, double narrowest_s) {
    const double widest_s = *std::max_element(half_width_s.begin(), half_width_s.end());
    for (double level_s = narrowest_s * rung_ratio; level_s <= widest_s * (1.0 + 1e-9); level_s *= rung_ratio) {
        const double enough_s = level_s * (1.0 - 1e-9);
        const auto longest = static_cast<std::size_t>(shortestBreakOf(aim) * level_s / centre_step_s);
        std::size_t first = 0; // of the stretch under the level
        for (std::size_t i = 0; i <= half_width_s.size(); ++i) {
            if (i < half_width_s.size() && half_width_s[i] < enough_s) {
                continue;
            }
            if (i > first && i - first <= longest && i - first < half_width_s.size()) {
                std::fill(half_width_s.begin() + static_cast<std::ptrdiff_t>(first),
                          half_width_s.begin() + static_cast<std::ptrdiff_t>(i), level_s);
            }
            first = i + 1;
        }
    }
}

// What one rung says at one place.
struct Estimated {
    double aim = 0.0;
    double slope = 0.0; // of the aim: known for the level, by differences for the rate
    double slack = 0.0;
};

std::vector<Estimated> estimatesOf(std::span<const double> place_s, const LocalFit& fit, const Smoothing& smoothing) {
    std::vector<Estimated> estimated(place_s.size());
    for (std::size_t k = 0; k < place_s.size(); ++k) {
        estimated[k].aim = aimOf(smoothing.aim, fit, k, smoothing.lag_s);
        estimated[k].slope = aimOf(Aim::rate, fit, k, smoothing.lag_s);
        estimated[k].slack =
            agreementSigmaOf(smoothing.aim) * smoothing.noise * gainOf(smoothing.aim, fit, k, smoothing.lag_s, 1.0);
    }
    if (smoothing.aim == Aim::rate) {
        for (std::size_t k = 0; k < place_s.size(); ++k) {
            const std::size_t p = k > 0 ? k - 1 : k;
            const std::size_t q = std::min(k + 1, place_s.size() - 1);
            estimated[k].slope = (estimated[q].aim - estimated[p].aim) / (place_s[q] - place_s[p]);
        }
    }
    return estimated;
}

// Places at which a half width is chosen, and how far apart they are but for long gaps.
struct Centres {
    std::span<const double> time_s;
    double step_s = 1.0;
};

// The widest half width at each centre whose estimate agrees with those of all narrower ones.
std::vector<double> chooseHalfWidths(const std::vector<Binned>& levels, const Centres& centres, double narrowest_s,
                                     double widest_s, const Smoothing& smoothing) {
    const std::span<const double> centre_s = centres.time_s;
    std::vector<double> chosen(centre_s.size(), narrowest_s);
    std::vector<double> low(centre_s.size(), -std::numeric_limits<double>::infinity());
    std::vector<double> high(centre_s.size(), std::numeric_limits<double>::infinity());
    std::vector<char> open(centre_s.size(), 1);
    for (double half_width_s = narrowest_s; half_width_s <= widest_s * (1.0 + 1e-9); half_width_s *= rung_ratio) {
        const std::vector<double> place_s = placesFor(levelFor(levels, half_width_s), half_width_s);
        const std::vector<double> width(place_s.size(), half_width_s);
        const LocalFit fit = fitAt(levels, place_s, width, orderOf(smoothing.aim));
        const std::vector<Estimated> estimated = estimatesOf(place_s, fit, smoothing);
        std::size_t k = 0;
        for (std::size_t i = 0; i < centre_s.size(); ++i) {
            while (k + 2 < place_s.size() && place_s[k + 1] <= centre_s[i]) {
                ++k;
            }
            if (open[i] == 0) {
                continue;
            }
            const Estimated& a = estimated[k];
            const Estimated& b = estimated[k + 1];
            const double step = place_s[k + 1] - place_s[k];
            const double u = (centre_s[i] - place_s[k]) / step;
            const double rise = b.aim - a.aim;
            const double estimate =
                a.aim + u * rise + u * (1.0 - u) * ((1.0 - u) * (a.slope * step - rise) - u * (b.slope * step - rise));
            low[i] = std::max(low[i], estimate - a.slack);
            high[i] = std::min(high[i], estimate + a.slack);
            if (low[i] <= high[i]) {
                chosen[i] = half_width_s;
            } else {
                open[i] = 0;
            }
        }
    }
    fillDips(smoothing.aim, centres.step_s, chosen, narrowest_s);
    return steadied(centres.step_s, chosen);
}

// A slope at the end of a chord that keeps the cubic between monotone. Source: F. N. Fritsch, R. E. Carlson, SIAM J.
// Numer. Anal. 17 (1980) 238; from memory.
double monotone(double slope, double chord) {
    constexpr double steepest = 3.0;
    return slope * chord <= 0.0 ? 0.0 : std::copysign(std::min(std::abs(slope), steepest * std::abs(chord)), chord);
}

// Replaces what a polynomial says of the inside of a gap, where it has nothing to hold it, by a monotone cubic from
// edge to edge. How far that leaves the straight line counts as uncertain.
void bridge(SmoothCurve& curve, const std::vector<Binned>& levels, const Gap& gap, double noise) {
    const auto first = static_cast<std::size_t>(std::upper_bound(curve.time_s.begin(), curve.time_s.end(), gap.from_s) -
                                                curve.time_s.begin());
    const auto last = static_cast<std::size_t>(std::lower_bound(curve.time_s.begin(), curve.time_s.end(), gap.to_s) -
                                               curve.time_s.begin());
    if (first == 0 || first >= last || last >= curve.time_s.size()) {
        return;
    }
    const std::vector<double> edge_s{gap.from_s, gap.to_s};
    const std::vector<double> width_s{curve.half_width_s[first - 1], curve.half_width_s[last]};
    const LocalFit edge = fitAt(levels, edge_s, width_s, orderOf(curve.aim));
    const double length_s = gap.to_s - gap.from_s;
    const double rise = edge.value[1] - edge.value[0];
    const double chord = rise / length_s;
    const double out = monotone(edge.slope_per_s[0], chord) * length_s - rise;
    const double in = monotone(edge.slope_per_s[1], chord) * length_s - rise;
    LocalFit& fit = curve.fit;
    for (std::size_t i = first; i < last; ++i) {
        const double u = (curve.time_s[i] - gap.from_s) / length_s;
        const double bulge = u * (1.0 - u) * ((1.0 - u) * out - u * in);
        const double bulge_slope = ((1.0 - u) * (1.0 - 3.0 * u) * out - u * (2.0 - 3.0 * u) * in) / length_s;
        fit.value[i] = edge.value[0] + u * rise + bulge;
        fit.slope_per_s[i] = chord + bulge_slope;
        fit.curvature_per_s2[i] = ((6.0 * u - 4.0) * out - (2.0 - 6.0 * u) * in) / (length_s * length_s);
        fit.value_gain[i] = std::max(edge.value_gain[0], edge.value_gain[1]) + std::abs(bulge) / noise;
        fit.slope_gain[i] = std::max(edge.slope_gain[0], edge.slope_gain[1]) + std::abs(bulge_slope) / noise;
        fit.curvature_gain[i] = std::max(edge.curvature_gain[0], edge.curvature_gain[1]);
        fit.value_slope_covariance[i] = 0.0;
        fit.slope_curvature_covariance[i] = 0.0;
    }
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

} // namespace

SmoothCurve smooth(TraceView trace, const Smoothing& smoothing) {
    std::vector<double> intervals;
    intervals.reserve(trace.size());
    double least = std::numeric_limits<double>::infinity();
    double most = -least;
    for (std::size_t i = 0; i < trace.size(); ++i) {
        if (i > 0) {
            intervals.push_back(trace.time_s[i] - trace.time_s[i - 1]);
        }
        if (std::isfinite(trace.value[i])) {
            least = std::min(least, trace.value[i]);
            most = std::max(most, trace.value[i]);
        }
    }
    const double interval_s = median(intervals);
    const std::vector<Binned> levels = pyramid(trace, interval_s);
    assert(levels[0].time_s.size() >= 16);
    const double from_s = levels[0].time_s.front();
    const double to_s = levels[0].time_s.back();
    const double narrowest_s = narrowest_samples * interval_s;
    const double longest_gap_s = longest_gap_intervals * interval_s;
    const ShortenedTime clock(from_s, to_s, gapsOf(levels[0].time_s, longest_gap_s), longest_gap_s);
    const double widest_s = std::max(narrowest_s, smoothing.widest_s > 0.0 ? smoothing.widest_s : 0.25 * clock.span());

    Smoothing wanted = smoothing;
    wanted.noise = std::max(smoothing.noise, smallest_noise_share * std::max(most - least, 1e-300));
    const std::vector<double> centre_s = clock.evenly(narrowest_s);
    const double centre_step_s = clock.span() / static_cast<double>(centre_s.size() - 1);
    const std::vector<double> chosen =
        chooseHalfWidths(levels, {centre_s, centre_step_s}, narrowest_s, widest_s, wanted);

    SmoothCurve curve{.aim = smoothing.aim};
    for (double time_s = from_s;;) {
        const auto nearest = static_cast<std::size_t>(std::lround((clock.of(time_s) - from_s) / centre_step_s));
        const double half_width_s =
            std::max(narrowest_s, narrowingOf(smoothing.aim) * chosen[std::min(nearest, chosen.size() - 1)]);
        curve.time_s.push_back(time_s);
        curve.half_width_s.push_back(half_width_s);
        if (time_s >= to_s) {
            break;
        }
        time_s = clock.later(time_s, std::max(interval_s, half_width_s / knots_per_half_width));
        if (time_s > to_s - 0.5 * interval_s) {
            time_s = to_s;
        }
    }
    curve.fit = fitAt(levels, curve.time_s, curve.half_width_s, orderOf(smoothing.aim));
    for (const Gap& gap : gapsOf(levels[0].time_s, gap_intervals * interval_s)) {
        bridge(curve, levels, gap, wanted.noise);
    }
    return curve;
}

std::vector<double> atKnots(const SmoothCurve& curve, double lag_s) {
    std::vector<double> values(curve.time_s.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = aimOf(curve.aim, curve.fit, i, lag_s);
    }
    return values;
}

std::vector<double> uncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise) {
    return uncertaintyAtKnots(curve, lag_s, noise, undersmoothingOf(curve.aim));
}

std::vector<double> uncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise, double narrower) {
    std::vector<double> values(curve.time_s.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = noise * gainOf(curve.aim, curve.fit, i, lag_s, narrower);
    }
    return values;
}

double uncertaintyAtKnot(const SmoothCurve& curve, std::size_t knot, double lag_s, double noise) {
    return noise * gainOf(curve.aim, curve.fit, knot, lag_s, undersmoothingOf(curve.aim));
}

std::vector<double> levelSlopeAtKnots(const SmoothCurve& curve, double lag_s) {
    assert(curve.aim == Aim::level);
    std::vector<double> values(curve.time_s.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = aimOf(Aim::rate, curve.fit, i, lag_s);
    }
    return values;
}

std::vector<double> slopeUncertaintyAtKnots(const SmoothCurve& curve, double lag_s, double noise) {
    assert(curve.aim == Aim::level);
    std::vector<double> values(curve.time_s.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        values[i] = noise * gainOf(Aim::rate, curve.fit, i, lag_s, slope_undersmoothing);
    }
    return values;
}

namespace {

// Index k so that time_s[k] <= at_s < time_s[k + 1], kept within the knots.
std::size_t before(std::span<const double> time_s, double at_s) {
    const auto after = std::upper_bound(time_s.begin(), time_s.end(), at_s);
    const auto k = static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, after - time_s.begin() - 1));
    return std::min(k, time_s.size() - 2);
}

} // namespace

double hermite(std::span<const double> time_s, std::span<const double> value, std::span<const double> slope,
               double at_s) {
    if (time_s.size() < 2) {
        return time_s.empty() ? std::numeric_limits<double>::quiet_NaN() : value[0];
    }
    if (at_s < time_s.front()) {
        return value.front() + (at_s - time_s.front()) * slope.front();
    }
    if (at_s > time_s.back()) {
        return value.back() + (at_s - time_s.back()) * slope.back();
    }
    const std::size_t k = before(time_s, at_s);
    const double step = time_s[k + 1] - time_s[k];
    const double u = (at_s - time_s[k]) / step;
    const double rise = value[k + 1] - value[k];
    return value[k] + u * rise +
           u * (1.0 - u) * ((1.0 - u) * (slope[k] * step - rise) - u * (slope[k + 1] * step - rise));
}

std::vector<double> hermite(std::span<const double> time_s, std::span<const double> value,
                            std::span<const double> slope, std::span<const double> at_s) {
    std::vector<double> result(at_s.size());
    std::transform(at_s.begin(), at_s.end(), result.begin(),
                   [&](double at) { return hermite(time_s, value, slope, at); });
    return result;
}

double linear(std::span<const double> time_s, std::span<const double> value, double at_s) {
    if (time_s.size() < 2) {
        return time_s.empty() ? std::numeric_limits<double>::quiet_NaN() : value[0];
    }
    const double inside = std::clamp(at_s, time_s.front(), time_s.back());
    const std::size_t k = before(time_s, inside);
    const double u = (inside - time_s[k]) / (time_s[k + 1] - time_s[k]);
    return value[k] + u * (value[k + 1] - value[k]);
}

std::vector<double> linear(std::span<const double> time_s, std::span<const double> value,
                           std::span<const double> at_s) {
    std::vector<double> result(at_s.size());
    std::transform(at_s.begin(), at_s.end(), result.begin(), [&](double at) { return linear(time_s, value, at); });
    return result;
}

} // namespace potwatch::signal
