// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/format/quantity_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

namespace potwatch::format {
namespace {

// shown = value * factor + shift, in the unit of the field.
struct Unit {
    std::string_view field;
    std::string_view typed;
    double factor = 1.0;
    double shift = 0.0;
};

constexpr std::array<Unit, 50> units{{
    {"g", "g"},
    {"g", "kg", 1000.0},
    {"g", "mg", 0.001},
    {"s", "s"},
    {"s", "sec", 1.0},
    {"s", "min", 60.0},
    {"s", "h", 3600.0},
    {"°C", "°C"},
    {"°C", "C"},
    {"°C", "K", 1.0, -273.15},
    {"°C", "°F", 1.0 / 1.8, -32.0 / 1.8},
    {"°C", "F", 1.0 / 1.8, -32.0 / 1.8},
    {"K", "K"},
    {"K", "°C"},
    {"kPa", "kPa"},
    {"kPa", "hPa", 0.1},
    {"kPa", "mbar", 0.1},
    {"kPa", "bar", 100.0},
    {"kPa", "Pa", 0.001},
    {"kPa", "atm", 101.325},
    {"J/(g K)", "J/(g K)"},
    {"J/(g K)", "J/gK"},
    {"J/(g K)", "kJ/(kg K)"},
    {"J/(g K)", "kJ/kgK"},
    {"J/(g K)", "J/(kg K)", 0.001},
    {"J/K", "J/K"},
    {"J/K", "kJ/K", 1000.0},
    {"J/g", "J/g"},
    {"J/g", "kJ/kg"},
    {"J/g", "kJ/g", 1000.0},
    {"W", "W"},
    {"W", "mW", 0.001},
    {"W", "kW", 1000.0},
    {"W/K", "W/K"},
    {"W/K", "mW/K", 0.001},
    {"g/min", "g/min"},
    {"g/min", "g/s", 60.0},
    {"g/min", "g/h", 1.0 / 60.0},
    {"g/mL", "g/mL"},
    {"g/mL", "g/ml"},
    {"g/mL", "g/cm3"},
    {"g/mL", "g/cm³"},
    {"g/mL", "kg/L"},
    {"g/mL", "kg/m3", 0.001},
    {"g/mL", "kg/m³", 0.001},
    {"g/(s K)", "g/(s K)"},
    {"1/mL", "1/mL"},
    {"1/mL", "1/ml"},
    {"%", "%"},
    {"", "%", 0.01},
}};

Fault fault(std::string what, std::string remedy) {
    return {.kind = FaultKind::input, .what = std::move(what), .remedy = std::move(remedy)};
}

std::string listOfUnits(std::string_view field) {
    std::vector<std::string_view> names;
    for (const Unit& unit : units) {
        if (unit.field == field) {
            names.push_back(unit.typed);
        }
    }
    return names.empty() ? "write the number alone" : fmt::format("use {}", fmt::join(names, ", "));
}

std::string withoutBlanks(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c != ' ' && c != '\t') {
            out += c;
        }
    }
    return out;
}

void replaceAll(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

} // namespace

Result<double> quantityOf(std::string_view text, std::string_view unit) {
    std::string typed(text);
    replaceAll(typed, "\u2212", "-");
    replaceAll(typed, "\u00a0", " ");
    replaceAll(typed, "\u202f", " ");
    replaceAll(typed, "\u00b7", " ");
    // Signs and digits belong to the number, what follows to the unit. "1e3" has its exponent within the digits.
    std::size_t end = 0;
    bool exponent = false;
    while (end < typed.size()) {
        const char c = typed[end];
        const bool digit = (c >= '0' && c <= '9') || c == '.' || c == ',' || c == ' ' || c == '\t';
        const bool sign = (c == '-' || c == '+') && (end == 0 || typed[end - 1] == 'e' || typed[end - 1] == 'E' ||
                                                     withoutBlanks(std::string_view(typed).substr(0, end)).empty());
        const bool begins_exponent =
            (c == 'e' || c == 'E') && !exponent && end > 0 && end + 1 < typed.size() &&
            (typed[end + 1] == '-' || typed[end + 1] == '+' || (typed[end + 1] >= '0' && typed[end + 1] <= '9'));
        if (!digit && !sign && !begins_exponent) {
            break;
        }
        exponent = exponent || begins_exponent;
        ++end;
    }
    std::string digits = withoutBlanks(std::string_view(typed).substr(0, end));
    if (std::count(digits.begin(), digits.end(), ',') + std::count(digits.begin(), digits.end(), '.') > 1) {
        return tl::unexpected(fault(fmt::format("\"{}\" has more than one decimal sign", text),
                                    "write one point or one comma, and no signs between thousands"));
    }
    std::replace(digits.begin(), digits.end(), ',', '.');
    if (!digits.empty() && digits.front() == '+') {
        digits.erase(0, 1);
    }
    double value = 0.0;
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (digits.empty() || read.ec != std::errc{} || read.ptr != digits.data() + digits.size() ||
        !std::isfinite(value)) {
        return tl::unexpected(
            fault(fmt::format("\"{}\" is not a number", text),
                  "write a number, with point or comma; leave the field empty where it is not known"));
    }
    const std::string typed_unit = withoutBlanks(std::string_view(typed).substr(end));
    if (typed_unit.empty() || typed_unit == withoutBlanks(unit)) {
        return value;
    }
    for (const Unit& known : units) {
        if (known.field == unit && withoutBlanks(known.typed) == typed_unit) {
            return value * known.factor + known.shift;
        }
    }
    return tl::unexpected(fault(fmt::format("\"{}\" has a unit that does not fit here", text), listOfUnits(unit)));
}

std::string fieldText(double value) {
    return fmt::format("{}", value);
}

} // namespace potwatch::format
