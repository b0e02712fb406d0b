// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/compare_text.h"

#include "app/format/number.h"
#include "app/format/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

namespace potwatch::format {

using compare::AtLimit;
using compare::Figure;
using compare::FigureValue;
using compare::NextRate;
using compare::NextReason;
using compare::Trend;
using compare::TrendForm;

namespace {

std::string withUnit(std::string text, std::string_view unit) {
    return unit.empty() ? text : fmt::format("{} {}", text, unit);
}

// A difference of temperatures is in kelvin.
std::string_view differenceUnit(const Figure& figure) {
    return figure.unit == "°C" ? std::string_view("K") : figure.unit;
}

std::string rateText(double rate, const Figure& figure) {
    return withUnit(numberText(rate, 3), figure.unit);
}

} // namespace

std::string cellText(const FigureValue& value) {
    if (!value.estimate) {
        return oneLine(value.text);
    }
    return (value.at_least ? "at least " : "") + estimateText(*value.estimate, Quantity::plain);
}

std::string figureText(const FigureValue& value, const Figure& figure) {
    const std::string text = cellText(value);
    return text.empty() ? text : withUnit(text, figure.unit);
}

std::string headingText(const Figure& figure) {
    return figure.unit.empty() ? std::string(figure.title) : fmt::format("{} [{}]", figure.title, figure.unit);
}

std::string trendText(const Trend& trend, const TrendNames& names) {
    const std::string y = headingText(*names.y);
    const std::string x = headingText(*names.x);
    const std::string a = numberText(trend.a, 4);
    const std::string b = numberText(std::abs(trend.b), 4);
    const std::string sign = trend.b < 0.0 ? "\u2212" : "+";
    switch (trend.form) {
    case TrendForm::straight:
        return fmt::format("straight: {} = {} {} {} {}", y, a, sign, b, x);
    case TrendForm::logarithmic:
        return fmt::format("logarithmic: {} = {} {} {} ln({})", y, a, sign, b, x);
    case TrendForm::saturating:
        return fmt::format("saturating: {} = {} {} {} r / (r + {}), r being {}", y, a, sign, b,
                           numberText(*trend.half_x, 3), x);
    }
    return {};
}

std::string misfitText(const Trend& trend, const TrendNames& names) {
    const std::string_view unit = differenceUnit(*names.y);
    std::string text = countText(trend.measured, "run that was measured", "runs that were measured");
    if (trend.censored > 0) {
        text += fmt::format(
            " and {}", countText(trend.censored, "that is known from below only", "that are known from below only"));
    }
    if (!(trend.degrees > 0.0)) {
        return text + "; the trend meets each of them, so how far runs stray from it cannot be told";
    }
    double most = 0.0;
    for (const double misfit : trend.misfits) {
        most = std::max(most, std::abs(misfit));
    }
    constexpr double beside_it = 0.1;
    if (trend.between_u > beside_it * trend.typical_u) {
        text +=
            fmt::format("; they stray from the trend by {} (standard deviation, beyond their own {}), at most by {}",
                        withUnit(numberText(trend.between_u, 2), unit), withUnit(numberText(trend.typical_u, 2), unit),
                        withUnit(numberText(most, 2), unit));
    } else {
        text += fmt::format("; they stray from the trend by no more than their own uncertainty ({}), at most by {}",
                            withUnit(numberText(trend.typical_u, 2), unit), withUnit(numberText(most, 2), unit));
    }
    if (trend.half_x) {
        if (trend.half_x_low && trend.half_x_high) {
            text += fmt::format("; half of the rise is reached at {} ({} to {})", rateText(*trend.half_x, *names.x),
                                numberText(*trend.half_x_low, 3), numberText(*trend.half_x_high, 3));
        } else {
            text += "; where half of the rise is reached is not determined by these runs";
        }
    }
    return text;
}

std::string choiceText(const Trend& trend) {
    if (trend.asked) {
        return "the form was asked for";
    }
    if (!trend.by_aicc) {
        return "the smallest form: there are too few runs to weigh one form against another (AICc is not defined)";
    }
    std::vector<compare::TrendScore> scores;
    for (const compare::TrendScore& score : trend.tried) {
        if (score.aicc) {
            scores.push_back(score);
        }
    }
    std::sort(scores.begin(), scores.end(), [](const auto& one, const auto& other) { return *one.aicc < *other.aicc; });
    std::string text = "chosen by AICc (the less the better): ";
    for (std::size_t i = 0; i < scores.size(); ++i) {
        text +=
            fmt::format("{}{} {}", i == 0 ? "" : ", ", compare::nameOf(scores[i].form), numberText(*scores[i].aicc, 3));
    }
    return text;
}

std::string atLimitText(const AtLimit& at_limit, const TrendNames& names) {
    const std::string at = withUnit(numberText(at_limit.limit), names.y->unit);
    std::string text = fmt::format("{} comes to {} at a {} of ", names.y->title, at, names.x->title);
    if (at_limit.estimate) {
        const double half_width = 0.5 * (at_limit.estimate->high - at_limit.estimate->low);
        text += fmt::format("{} ({} to {})", withUnit(figureText(at_limit.x, half_width), names.x->unit),
                            figureText(at_limit.estimate->low, half_width),
                            figureText(at_limit.estimate->high, half_width));
    } else {
        text += rateText(at_limit.x, *names.x);
        if (at_limit.low) {
            text += fmt::format(" (at least {}; how far up is not determined)", numberText(*at_limit.low, 3));
        } else if (at_limit.high) {
            text += fmt::format(" (at most {}; how far down is not determined)", numberText(*at_limit.high, 3));
        } else {
            text += ", but these runs determine no interval for it";
        }
    }
    if (at_limit.outside) {
        text += ", an extrapolation beyond what was tried";
    }
    return text;
}

std::string nextText(const NextRate& next, double limit, const TrendNames& names) {
    const std::string rate = rateText(next.rate, *names.x);
    const std::string from = rateText(next.from, *names.x);
    const std::string at = withUnit(numberText(limit), names.y->unit);
    std::string expected;
    if (next.expected) {
        const double half_width = 0.5 * (next.expected->high - next.expected->low);
        expected = fmt::format(" (expected: {} to {})", figureText(next.expected->low, half_width),
                               withUnit(figureText(next.expected->high, half_width), names.y->unit));
    }
    switch (next.reason) {
    case NextReason::stays_under:
        return fmt::format("Try {} next: the fastest at which one more run stays under {} in 39 of 40 cases{}.", rate,
                           at, expected);
    case NextReason::between:
        return fmt::format(
            "Try {} next, which may pass {}: halfway from {}, the fastest that stayed under, to where it "
            "is passed, as these runs cannot yet promise more{}.",
            rate, at, from, expected);
    case NextReason::repeat:
        return fmt::format("Try {} again: the runs stray so far from the trend that a repeat says more than a new "
                           "rate{}.",
                           rate, expected);
    case NextReason::step_up:
        return fmt::format("Try {} next: half as fast again as {}, the fastest that stayed under {}, and no more at "
                           "one step{}.",
                           rate, from, at, expected);
    case NextReason::step_down:
        return fmt::format("Try {} next: every run went over {}, the slowest at {}, so go below it{}.", rate, at, from,
                           expected);
    case NextReason::all_boiled:
        return fmt::format("Try {} next, half of the slowest: every run boiled, which hides how hot the pots would "
                           "have become.",
                           rate);
    case NextReason::one_run_under:
        return fmt::format("Try {} next, half as fast again: one run shows no trend, and this one ({}) stayed under "
                           "{}.",
                           rate, from, at);
    case NextReason::one_run_over:
        return fmt::format("Try {} next, half as fast: one run shows no trend, and this one ({}) went over {}.", rate,
                           from, at);
    }
    return {};
}

} // namespace potwatch::format
