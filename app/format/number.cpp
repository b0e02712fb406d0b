// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace potwatch::format {
namespace {

constexpr std::string_view minus_sign = "\u2212";
constexpr std::string_view unknown = "not known";
// From this size on a fixed notation is only a row of zeros.
constexpr double largest_fixed = 1e9;

// How a base unit is shown.
struct Scale {
    std::string_view unit;
    double factor = 1.0; // shown = base * factor
    int usual_decimals = 0;
};

Scale scaleOf(Quantity quantity, double value) {
    const double size = std::abs(value);
    switch (quantity) {
    case Quantity::temperature:
        return {.unit = "\u00b0C", .factor = 1.0, .usual_decimals = 1};
    case Quantity::temperature_difference:
        return {.unit = "K", .factor = 1.0, .usual_decimals = 1};
    case Quantity::rate:
        return {.unit = "K/min", .factor = 1.0, .usual_decimals = size < 10.0 ? 2 : 1};
    case Quantity::power:
        return {.unit = "W", .factor = 1.0, .usual_decimals = size < 10.0 ? 2 : 1};
    case Quantity::heat:
        return size >= 1000.0 ? Scale{.unit = "kJ", .factor = 1e-3, .usual_decimals = 2}
                              : Scale{.unit = "J", .factor = 1.0, .usual_decimals = 0};
    case Quantity::heat_per_gram:
        return {.unit = "J/g", .factor = 1.0, .usual_decimals = 0};
    case Quantity::heat_capacity:
        return {.unit = "J/K", .factor = 1.0, .usual_decimals = 0};
    case Quantity::loss_coefficient:
        return {.unit = "W/K", .factor = 1.0, .usual_decimals = 3};
    case Quantity::loss_exponent:
        return {.unit = "", .factor = 1.0, .usual_decimals = 2};
    case Quantity::mass:
        return {.unit = "g", .factor = 1.0, .usual_decimals = 2};
    case Quantity::time:
        return {.unit = "s", .factor = 1.0, .usual_decimals = size < 10.0 ? 1 : 0};
    case Quantity::degree:
        return {.unit = "", .factor = 1.0, .usual_decimals = 2};
    case Quantity::plain:
        break;
    }
    return {.unit = "", .factor = 1.0, .usual_decimals = 3};
}

// The text of a number with a true minus sign, "0.0" never "-0.0".
std::string withMinusSign(std::string text) {
    if (text.empty() || text.front() != '-') {
        return text;
    }
    text.erase(0, 1);
    if (text.find_first_not_of("0.") == std::string::npos) {
        return text;
    }
    return std::string(minus_sign) + text;
}

std::string fixed(double value, int decimals) {
    if (!std::isfinite(value)) {
        return std::string(unknown);
    }
    if (std::abs(value) >= largest_fixed) {
        return withMinusSign(fmt::format("{:.3e}", value));
    }
    if (decimals < 0) {
        const double step = std::pow(10.0, -decimals);
        return withMinusSign(fmt::format("{:.0f}", std::round(value / step) * step));
    }
    return withMinusSign(fmt::format("{:.{}f}", value, decimals));
}

bool isUsable(double half_width) {
    return std::isfinite(half_width) && half_width > 0.0;
}

// The decimal place that a half width is rounded to; negative left of the point.
int decimalsOf(double half_width) {
    constexpr double first_digit_is_one_below = 1.95;
    constexpr int most_decimals = 12;
    const double exponent = std::floor(std::log10(half_width));
    const double leading = half_width / std::pow(10.0, exponent);
    int decimals = -static_cast<int>(exponent);
    if (leading < first_digit_is_one_below) {
        ++decimals;
    }
    return std::clamp(decimals, -most_decimals, most_decimals);
}

// A positive number with two significant digits, never with an exponent: "0.15", "190".
std::string twoDigits(double value) {
    constexpr int most_decimals = 12;
    return fixed(value, std::min(1 - static_cast<int>(std::floor(std::log10(value))), most_decimals));
}

std::string withUnit(std::string text, std::string_view unit) {
    if (!unit.empty()) {
        text += " ";
        text += unit;
    }
    return text;
}

} // namespace

std::string_view unitOf(Quantity quantity, double value) {
    return scaleOf(quantity, value).unit;
}

std::string figureText(double value, double half_width) {
    if (!std::isfinite(value)) {
        return std::string(unknown);
    }
    return isUsable(half_width) ? fixed(value, decimalsOf(half_width)) : numberText(value);
}

std::string halfWidthText(double half_width) {
    return isUsable(half_width) ? fixed(half_width, decimalsOf(half_width)) : std::string("0");
}

std::string estimateText(const Estimate& estimate, Quantity quantity) {
    constexpr double leaning = 0.25;
    if (!std::isfinite(estimate.value)) {
        return std::string(unknown);
    }
    const double width = estimate.high - estimate.low;
    if (!isUsable(width)) {
        return valueText(estimate.value, quantity);
    }
    const Scale scale = scaleOf(quantity, estimate.value);
    const double half_width = 0.5 * width * scale.factor;
    const double value = estimate.value * scale.factor;
    const double lean = (estimate.high - estimate.value) - (estimate.value - estimate.low);
    if (std::abs(lean) > leaning * width) {
        const int decimals = decimalsOf(half_width);
        return withUnit(fmt::format("{} ({} to {})", fixed(value, decimals),
                                    fixed(estimate.low * scale.factor, decimals),
                                    fixed(estimate.high * scale.factor, decimals)),
                        scale.unit);
    }
    return withUnit(fmt::format("{} \u00b1 {}", figureText(value, half_width), halfWidthText(half_width)), scale.unit);
}

std::string intervalText(const Estimate& estimate, Quantity quantity) {
    const double width = estimate.high - estimate.low;
    if (!isUsable(width)) {
        return {};
    }
    const Scale scale = scaleOf(quantity, estimate.value);
    const int decimals = decimalsOf(0.5 * width * scale.factor);
    return withUnit(fmt::format("{} to {}", fixed(estimate.low * scale.factor, decimals),
                                fixed(estimate.high * scale.factor, decimals)),
                    scale.unit);
}

std::string uncertaintyText(const Estimate& estimate, Quantity quantity) {
    if (!isUsable(estimate.u)) {
        return {};
    }
    const Scale scale = scaleOf(quantity, estimate.value);
    const std::string_view unit = quantity == Quantity::temperature ? std::string_view("K") : scale.unit;
    return withUnit(twoDigits(estimate.u * scale.factor), unit);
}

std::string valueText(double value, Quantity quantity) {
    if (!std::isfinite(value)) {
        return std::string(unknown);
    }
    const Scale scale = scaleOf(quantity, value);
    if (quantity == Quantity::plain) {
        return numberText(value, 4);
    }
    return withUnit(fixed(value * scale.factor, scale.usual_decimals), scale.unit);
}

std::string numberText(double value, int significant_digits) {
    return std::isfinite(value) ? withMinusSign(fmt::format("{:.{}g}", value, significant_digits))
                                : std::string(unknown);
}

std::string riseText(double difference_k) {
    if (!std::isfinite(difference_k)) {
        return std::string(unknown);
    }
    constexpr double whole_kelvin_from = 20.0;
    const std::string text = fixed(difference_k, std::abs(difference_k) < whole_kelvin_from ? 1 : 0);
    return (difference_k > 0.0 ? "+" : "") + text + " K";
}

std::string durationText(double seconds) {
    if (!std::isfinite(seconds)) {
        return std::string(unknown);
    }
    if (seconds < 0.0) {
        return std::string(minus_sign) + durationText(-seconds);
    }
    if (seconds < 9.95) {
        return fixed(seconds, 1) + " s";
    }
    if (seconds >= largest_fixed) {
        return numberText(seconds, 3) + " s";
    }
    const auto whole = std::llround(seconds);
    if (whole < 60) {
        return fmt::format("{} s", whole);
    }
    if (whole < 3600) {
        return whole % 60 == 0 ? fmt::format("{} min", whole / 60) : fmt::format("{} min {} s", whole / 60, whole % 60);
    }
    const auto minutes = std::llround(seconds / 60.0);
    return minutes % 60 == 0 ? fmt::format("{} h", minutes / 60)
                             : fmt::format("{} h {} min", minutes / 60, minutes % 60);
}

std::string countText(std::size_t count) {
    constexpr std::size_t digits_in_a_group = 3;
    constexpr std::size_t shortest_grouped = 5;
    const std::string digits = fmt::format("{}", count);
    if (digits.size() < shortest_grouped) {
        return digits;
    }
    std::string text;
    for (std::size_t i = 0; i < digits.size(); ++i) {
        if (i > 0 && (digits.size() - i) % digits_in_a_group == 0) {
            text += "\u00a0";
        }
        text += digits[i];
    }
    return text;
}

std::string countText(std::size_t count, std::string_view singular, std::string_view plural) {
    return fmt::format("{} {}", countText(count), count == 1 ? singular : plural);
}

} // namespace potwatch::format
