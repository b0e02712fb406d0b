// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/next_rate.h"

#include <algorithm>
#include <cmath>

namespace potwatch::compare {

namespace {

constexpr double step_up = 1.5;
constexpr double step_down = 0.5;

// What the runs say by themselves.
struct Tried {
    double slowest = 0.0;
    double fastest = 0.0;
    std::optional<double> fastest_under; // the limit, not boiled
    std::optional<double> slowest_over;  // the limit, or boiled
    bool all_boiled = true;
};

Tried triedOf(std::span<const TrendPoint> points, double limit) {
    Tried tried{.slowest = points.front().x,
                .fastest = points.front().x,
                .fastest_under = std::nullopt,
                .slowest_over = std::nullopt};
    for (const TrendPoint& point : points) {
        tried.slowest = std::min(tried.slowest, point.x);
        tried.fastest = std::max(tried.fastest, point.x);
        tried.all_boiled = tried.all_boiled && point.at_least;
        if (!point.at_least && point.y <= limit) {
            tried.fastest_under = std::max(tried.fastest_under.value_or(point.x), point.x);
        } else {
            tried.slowest_over = std::min(tried.slowest_over.value_or(point.x), point.x);
        }
    }
    return tried;
}

NextRate fromRuns(const Tried& tried, std::size_t runs) {
    if (!tried.fastest_under) {
        const NextReason reason = tried.all_boiled ? NextReason::all_boiled
                                  : runs == 1      ? NextReason::one_run_over
                                                   : NextReason::step_down;
        return {.rate = step_down * tried.slowest, .from = tried.slowest, .reason = reason, .expected = {}};
    }
    if (tried.slowest_over && *tried.slowest_over > *tried.fastest_under) {
        return {.rate = std::sqrt(*tried.fastest_under * *tried.slowest_over),
                .from = *tried.fastest_under,
                .reason = NextReason::between,
                .expected = {}};
    }
    return {.rate = step_up * *tried.fastest_under,
            .from = *tried.fastest_under,
            .reason = runs == 1 ? NextReason::one_run_under : NextReason::step_up,
            .expected = {}};
}

NextRate fromTrend(const Tried& tried, const AtLimit& at_limit) {
    if (!tried.fastest_under) {
        const double wanted = at_limit.one_run.value_or(at_limit.low.value_or(0.0));
        return {.rate = std::clamp(wanted, step_down * tried.slowest, tried.slowest),
                .from = tried.slowest,
                .reason = NextReason::step_down,
                .expected = {}};
    }
    const double under = *tried.fastest_under;
    const double most = step_up * under;
    if (at_limit.one_run && *at_limit.one_run >= (at_limit.x > under ? 1.0 : step_down) * tried.slowest) {
        const bool too_far = *at_limit.one_run > most;
        return {.rate = too_far ? most : *at_limit.one_run,
                .from = under,
                .reason = too_far ? NextReason::step_up : NextReason::stays_under,
                .expected = {}};
    }
    if (at_limit.x > under) {
        const double halfway = std::sqrt(under * at_limit.x);
        return {.rate = std::min(halfway, most),
                .from = under,
                .reason = halfway > most ? NextReason::step_up : NextReason::between,
                .expected = {}};
    }
    return {.rate = std::min(at_limit.x, std::max(at_limit.low.value_or(tried.slowest), tried.slowest)),
            .from = tried.slowest,
            .reason = NextReason::repeat,
            .expected = {}};
}

} // namespace

std::optional<NextRate> nextRate(std::span<const TrendPoint> points, const Trend* trend, const AtLimit* at_limit,
                                 double limit) {
    if (points.empty() || (trend != nullptr && !(trend->b > 0.0))) {
        return std::nullopt;
    }
    const Tried tried = triedOf(points, limit);
    if (!(tried.slowest > 0.0)) {
        return std::nullopt;
    }
    NextRate next =
        trend != nullptr && at_limit != nullptr ? fromTrend(tried, *at_limit) : fromRuns(tried, points.size());
    if (trend != nullptr && trend->degrees > 0.0) {
        const TrendBands bands = trendBands(*trend, next.rate, next.rate, 2);
        next.expected = Estimate{.value = bands.y.front(),
                                 .u = std::hypot(trend->between_u, trend->typical_u),
                                 .low = bands.run_low.front(),
                                 .high = bands.run_high.front()};
    }
    return next;
}

} // namespace potwatch::compare
