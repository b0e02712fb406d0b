// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/read_out.h"

#include "app/format/number.h"
#include "app/report/decimation.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace potwatch::window {
namespace {

using format::Quantity;
using report::PaneTrace;
using report::TraceStyle;

constexpr double minute_s = 60.0;
constexpr double hour_s = 3600.0;

// A length of time to that many decimals of a second; a true minus sign where it runs backwards.
std::string lengthText(double length_s, int decimals) {
    const double unit = std::pow(10.0, decimals);
    const double whole = std::round(std::abs(length_s) * unit) / unit;
    const std::string sign = length_s < 0.0 && whole > 0.0 ? "\u2212" : "";
    if (whole < minute_s) {
        return fmt::format("{}{:.{}f} s", sign, whole, decimals);
    }
    const double hours = std::floor(whole / hour_s);
    const double minutes = std::floor((whole - hours * hour_s) / minute_s);
    const double seconds = std::max(0.0, whole - hours * hour_s - minutes * minute_s);
    const std::string rest = fmt::format("{:.0f} min {:.{}f} s", minutes, seconds, decimals);
    return hours > 0.0 ? fmt::format("{}{:.0f} h {}", sign, hours, rest) : sign + rest;
}

int decimalsFor(double resolution_s) {
    constexpr int most = 3;
    return resolution_s > 0.0 ? std::clamp(static_cast<int>(std::ceil(-std::log10(resolution_s))), 0, most) : 0;
}

std::string valueText(TraceStyle style, double value) {
    constexpr double joules_in_a_kilojoule = 1000.0;
    switch (style) {
    case TraceStyle::temperature:
        return format::valueText(value, Quantity::temperature);
    case TraceStyle::reading:
        return "read " + format::valueText(value, Quantity::temperature);
    case TraceStyle::rate:
        return format::valueText(value, Quantity::rate);
    case TraceStyle::heat_flow:
        return format::valueText(value, Quantity::power);
    case TraceStyle::heat:
        return format::valueText(value * joules_in_a_kilojoule, Quantity::heat);
    case TraceStyle::degree:
        break;
    }
    return "cure " + format::valueText(value, Quantity::degree);
}

} // namespace

std::string momentText(double time_s, double resolution_s) {
    return lengthText(time_s, decimalsFor(resolution_s));
}

double temperatureAt(const report::PlotContent& content, double time_s) {
    for (const report::Pane& pane : content.panes) {
        for (const PaneTrace& trace : pane.traces) {
            if (trace.style == TraceStyle::temperature) {
                return trace.factor * report::valueAt(content.time_s, trace.value, time_s);
            }
        }
    }
    return std::numeric_limits<double>::quiet_NaN();
}

std::string readOut(const report::PlotContent& content, double time_s, double resolution_s) {
    std::string main; // the temperature comes before the reading, which is drawn first
    std::string rest;
    for (const report::Pane& pane : content.panes) {
        for (const PaneTrace& trace : pane.traces) {
            const double value = trace.factor * report::valueAt(content.time_s, trace.value, time_s);
            if (std::isfinite(value)) {
                std::string& to = trace.style == TraceStyle::temperature ? main : rest;
                to += (to.empty() ? "" : ", ") + valueText(trace.style, value);
            }
        }
    }
    const std::string between = main.empty() || rest.empty() ? "" : ", ";
    const std::string values = main + between + rest;
    return momentText(time_s, resolution_s) + ": " + (values.empty() ? "nothing is known here" : values);
}

std::string distanceText(const report::PlotContent& content, double from_s, double to_s, double resolution_s) {
    std::string text = lengthText(to_s - from_s, decimalsFor(resolution_s));
    const double rise_k = temperatureAt(content, to_s) - temperatureAt(content, from_s);
    if (std::isfinite(rise_k)) {
        text += ", " + format::riseText(rise_k);
        if (to_s != from_s) {
            text +=
                fmt::format(", {} on average", format::valueText(rise_k / (to_s - from_s) * minute_s, Quantity::rate));
        }
    }
    return text;
}

} // namespace potwatch::window
