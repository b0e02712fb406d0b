// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/figure.h"

#include <cmath>
#include <optional>
#include <string>
#include <utility>

namespace potwatch::compare {

// The small parts that the catalogue's figures are put together from.

inline FigureValue missing(std::string why) {
    return {.estimate = std::nullopt, .text = {}, .missing = std::move(why)};
}

// What was found, or that it was not.
inline FigureValue found(const std::optional<Estimate>& estimate, const char* why) {
    return estimate ? FigureValue{.estimate = estimate, .text = {}, .missing = {}} : missing(why);
}

// What the person stated, without an uncertainty.
inline FigureValue stated(const std::optional<double>& value, const char* why) {
    return value ? FigureValue{.estimate = Estimate{.value = *value, .u = 0.0, .low = *value, .high = *value},
                               .text = {},
                               .missing = {}}
                 : missing(why);
}

inline FigureValue words(std::string text, const char* why) {
    return text.empty() ? missing(why) : FigureValue{.estimate = std::nullopt, .text = std::move(text), .missing = {}};
}

// later - earlier, as if their errors were independent, which is on the safe side for two moments of one trace.
inline Estimate difference(const Estimate& later, const Estimate& earlier) {
    const double value = later.value - earlier.value;
    return {.value = value,
            .u = std::hypot(later.u, earlier.u),
            .low = value - std::hypot(later.value - later.low, earlier.high - earlier.value),
            .high = value + std::hypot(later.high - later.value, earlier.value - earlier.low)};
}

inline Estimate exact(double value) {
    return {.value = value, .u = 0.0, .low = value, .high = value};
}

} // namespace potwatch::compare
