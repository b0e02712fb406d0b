// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv/counting.h"

#include <algorithm>
#include <cmath>

namespace potwatch::csv {

Steps stepsOf(const std::vector<double>& values) {
    std::vector<double> up;
    std::size_t down = 0;
    for (std::size_t i = 1; i < values.size(); ++i) {
        const double step = values[i] - values[i - 1];
        if (step > 0.0) {
            up.push_back(step);
        }
        down += step < 0.0 ? 1 : 0;
    }
    Steps steps;
    if (up.empty()) { // also where there are fewer than two values
        steps.falling = down > 0 ? 1.0 : 0.0;
        return steps;
    }
    const auto count = static_cast<double>(values.size() - 1);
    steps.rising = static_cast<double>(up.size()) / count;
    steps.falling = static_cast<double>(down) / count;
    const auto middle = up.begin() + static_cast<std::ptrdiff_t>(up.size() / 2);
    std::nth_element(up.begin(), middle, up.end());
    steps.median = *middle;
    const auto near = std::count_if(up.begin(), up.end(), [&steps](double step) {
        return step >= steps.median / 10.0 && step <= steps.median * 10.0;
    });
    steps.regular = static_cast<double>(near) / static_cast<double>(up.size());
    return steps;
}

bool risesLikeAClock(const Steps& steps) {
    return steps.rising >= 0.9 && steps.falling <= 0.02 && steps.regular >= 0.9;
}

std::optional<TimeUnit> epochUnit(const std::vector<double>& values, const std::optional<TimeUnit>& stated) {
    static constexpr TimeUnit units[]{{.numerator = 1.0, .denominator = 1.0, .name = "epoch seconds"},
                                      {.numerator = 1.0, .denominator = 1e3, .name = "epoch milliseconds"},
                                      {.numerator = 1.0, .denominator = 1e6, .name = "epoch microseconds"},
                                      {.numerator = 1.0, .denominator = 1e9, .name = "epoch nanoseconds"}};
    for (const TimeUnit& unit : units) {
        if (stated && (stated->numerator != unit.numerator || stated->denominator != unit.denominator)) {
            continue;
        }
        const bool all = std::all_of(values.begin(), values.end(), [&unit](double value) {
            return value >= 3e8 * unit.denominator && value <= 5e9 * unit.denominator;
        });
        if (all && !values.empty()) {
            return unit;
        }
    }
    return std::nullopt;
}

bool looksLikeSpreadsheetDays(const ColumnSample& column, const std::string& name, const Steps& steps) {
    const bool in_range = std::all_of(column.values.begin(), column.values.end(),
                                      [](double value) { return value >= 36526.0 && value < 73051.0; });
    const bool has_fraction = std::any_of(column.values.begin(), column.values.end(),
                                          [](double value) { return value != std::floor(value); });
    return in_range && has_fraction && steps.median < (isDateName(name) ? 1.0 : 0.02);
}

bool isCounter(const ColumnSample& column) {
    const std::vector<double>& values = column.values;
    if (!column.isNumbers() || values.size() < 3 || values[0] != std::floor(values[0])) {
        return false;
    }
    std::size_t ones = 0;
    for (std::size_t i = 1; i < values.size(); ++i) {
        if (values[i] != std::floor(values[i])) {
            return false;
        }
        ones += values[i] - values[i - 1] == 1.0 ? 1 : 0;
    }
    return ones * 10 >= (values.size() - 1) * 9 || ones + 1 == values.size() - 1;
}

} // namespace potwatch::csv
