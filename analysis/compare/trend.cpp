// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/compare/trend.h"

#include "analysis/compare/trend_likelihood.h"
#include "analysis/compare/trend_profile.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

namespace potwatch::compare {

namespace {

struct Counted {
    std::size_t measured = 0;
    std::size_t censored = 0;
    bool different = false; // two measured points at different x
    bool positive = true;   // every x above 0
};

Result<Counted> count(std::span<const TrendPoint> points) {
    Counted counted;
    const TrendPoint* first = nullptr;
    for (const TrendPoint& point : points) {
        if (!std::isfinite(point.x) || !std::isfinite(point.y) || !(point.u >= 0.0) || !std::isfinite(point.u)) {
            return tl::unexpected(Fault{.kind = FaultKind::range,
                                        .what = "a run has a figure that is no finite number",
                                        .remedy = "leave the run out"});
        }
        counted.positive = counted.positive && point.x > 0.0;
        if (point.at_least) {
            ++counted.censored;
            continue;
        }
        ++counted.measured;
        first = first == nullptr ? &point : first;
        counted.different = counted.different || point.x != first->x;
    }
    if (counted.measured == 0 && counted.censored > 0) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = "every run boiled: none says how hot the pot would have become",
                                    .remedy = "add a run that stays below boiling"});
    }
    if (counted.measured < 2) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = counted.measured == 0 ? "no run has both figures"
                                                                  : "one run that was measured makes no trend",
                                    .remedy = "add runs; three show a trend and how far runs stray from it"});
    }
    if (!counted.different) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = "all measured runs have the same value on the horizontal axis",
                                    .remedy = "add a run with another one"});
    }
    return counted;
}

std::optional<double> aiccOf(double log_likelihood, std::size_t points, std::size_t parameters) {
    const auto n = static_cast<double>(points);
    const double k = static_cast<double>(parameters) + 1.0; // and the scatter
    if (n - k - 1.0 <= 0.0) {
        return std::nullopt;
    }
    return -2.0 * log_likelihood + 2.0 * k + 2.0 * k * (k + 1.0) / (n - k - 1.0);
}

// Maximum likelihood divides the squares by the points; runs to come scatter by more.
double betweenOf(const TrendParameters& found, const Counted& counted, double degrees) {
    if (degrees <= 0.0) {
        return 0.0;
    }
    return std::sqrt(found.between_variance * static_cast<double>(counted.measured) / degrees);
}

double degreesOf(const Counted& counted, TrendForm form) {
    const std::size_t parameters = parametersOf(form);
    return counted.measured > parameters ? static_cast<double>(counted.measured - parameters) : 0.0;
}

void addHalfInterval(Trend& trend) {
    if (!trend.half_x || !(trend.degrees > 0.0)) {
        return;
    }
    const TrendProfile profile(trend);
    const double most_down = std::log(*trend.half_x / profile.likelihood().leastHalf());
    const double most_up = std::log(profile.likelihood().mostHalf() / *trend.half_x);
    constexpr double guess = 0.2;
    for (const double way : {-1.0, 1.0}) {
        const double most = way < 0.0 ? most_down : most_up;
        if (!(most > 0.0)) {
            continue;
        }
        const auto step = stepToOne(
            [&](double s) {
                TrendParameters near = profile.best();
                return profile.away({.half_x = *trend.half_x * std::exp(way * s)}, near);
            },
            guess, most);
        if (step) {
            (way < 0.0 ? trend.half_x_low : trend.half_x_high) = *trend.half_x * std::exp(way * *step);
        }
    }
}

} // namespace

Result<Trend> fitTrend(std::span<const TrendPoint> points, std::optional<TrendForm> form) {
    const Result<Counted> counted = count(points);
    if (!counted) {
        return tl::unexpected(counted.error());
    }
    if (form && *form != TrendForm::straight && !counted->positive) {
        return tl::unexpected(Fault{.kind = FaultKind::range,
                                    .what = "a " + std::string(nameOf(*form)) +
                                            " trend needs figures above 0 on the "
                                            "horizontal axis",
                                    .remedy = "take the straight one"});
    }
    if (form && counted->measured < parametersOf(*form)) {
        return tl::unexpected(Fault{.kind = FaultKind::missing,
                                    .what = "a saturating trend needs three measured runs",
                                    .remedy = "add runs, or take another form"});
    }
    std::optional<TrendScore> chosen;
    Trend trend;
    TrendParameters found;
    for (const TrendForm one : {TrendForm::straight, TrendForm::logarithmic, TrendForm::saturating}) {
        // A form that meets every point says nothing of how far runs stray: it cannot be weighed against others.
        const bool can = one == TrendForm::straight || (counted->positive && degreesOf(*counted, one) > 0.0);
        if (one != form.value_or(one) || (!can && !form)) {
            continue;
        }
        const TrendParameters best = TrendLikelihood(points, one).greatest();
        const double degrees = degreesOf(*counted, one);
        const TrendScore score{.form = one,
                               .log_likelihood = best.log_likelihood,
                               .aicc = degrees > 0.0 ? aiccOf(best.log_likelihood, points.size(), parametersOf(one))
                                                     : std::nullopt,
                               .between_u = betweenOf(best, *counted, degrees)};
        trend.tried.push_back(score);
        if (!chosen || (score.aicc && chosen->aicc && *score.aicc < *chosen->aicc)) {
            chosen = score;
            found = best;
        }
    }
    trend.form = chosen->form;
    trend.by_aicc = !form && chosen->aicc.has_value() && trend.tried.size() > 1;
    trend.asked = form.has_value();
    trend.a = found.a;
    trend.b = found.b;
    if (trend.form == TrendForm::saturating) {
        trend.half_x = found.half_x;
    }
    trend.between_u = chosen->between_u;
    trend.log_likelihood = found.log_likelihood;
    trend.measured = counted->measured;
    trend.censored = counted->censored;
    trend.degrees = degreesOf(*counted, trend.form);
    trend.points.assign(points.begin(), points.end());
    trend.x_low = points.front().x;
    trend.x_high = points.front().x;
    double squares = 0.0;
    for (const TrendPoint& point : points) {
        trend.x_low = std::min(trend.x_low, point.x);
        trend.x_high = std::max(trend.x_high, point.x);
        const double misfit = point.y - valueAt(trend, point.x);
        trend.misfits.push_back(point.at_least ? std::max(misfit, 0.0) : misfit);
        squares += point.at_least ? 0.0 : point.u * point.u;
    }
    trend.typical_u = std::sqrt(squares / static_cast<double>(trend.measured));
    addHalfInterval(trend);
    return trend;
}

double valueAt(const Trend& trend, double x) {
    switch (trend.form) {
    case TrendForm::straight:
        return trend.a + trend.b * x;
    case TrendForm::logarithmic:
        return trend.a + trend.b * std::log(x);
    case TrendForm::saturating:
        return trend.a + trend.b * x / (x + *trend.half_x);
    }
    return trend.a;
}

TrendBands trendBands(const Trend& trend, double from, double to, std::size_t count) {
    assert(count >= 2);
    TrendBands bands;
    for (std::size_t i = 0; i < count; ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(count - 1);
        const double x = wantsFactors(from, to) ? from * std::pow(to / from, share) : from + (to - from) * share;
        bands.x.push_back(x);
        bands.y.push_back(valueAt(trend, x));
    }
    if (!(trend.degrees > 0.0)) {
        return bands;
    }
    const TrendProfile profile(trend);
    const double one_run = oneRunHalfWidth(trend);
    constexpr double as_drawn = 1e-3; // of the half width: less than a line's thickness
    const double first_guess = std::max(one_run, 1e-6 * std::abs(trend.b));
    for (const double way : {-1.0, 1.0}) {
        TrendParameters near = profile.best();
        double guess = first_guess;
        for (std::size_t i = 0; i < count; ++i) {
            TrendParameters start = near;
            const auto step = stepToOne(
                [&](double s) {
                    return profile.away({.through = TrendHeld::Through{.x = bands.x[i], .y = bands.y[i] + way * s}},
                                        start);
                },
                guess, 1e6 * first_guess, as_drawn);
            near = start;
            // A trend that may run anywhere here is drawn as far as it was followed.
            const double half = step.value_or(1e6 * first_guess);
            guess = half;
            (way < 0.0 ? bands.low : bands.high).push_back(bands.y[i] + way * half);
            (way < 0.0 ? bands.run_low : bands.run_high).push_back(bands.y[i] + way * std::hypot(half, one_run));
        }
    }
    return bands;
}

bool wantsFactors(double from, double to) {
    constexpr double wide = 8.0;
    return from > 0.0 && to > wide * from;
}

std::string_view nameOf(TrendForm form) {
    switch (form) {
    case TrendForm::straight:
        return "straight";
    case TrendForm::logarithmic:
        return "logarithmic";
    case TrendForm::saturating:
        return "saturating";
    }
    return "";
}

} // namespace potwatch::compare
