// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/compare/at_limit.h"
#include "analysis/compare/figure.h"
#include "analysis/compare/next_rate.h"
#include "analysis/compare/trend.h"

#include <string>

namespace potwatch::format {

// The words of a comparison, the same in the window, the report and the command line.

// What stands on the axes: x and y of the scatter.
struct TrendNames {
    const compare::Figure* x = nullptr;
    const compare::Figure* y = nullptr;
};

// A cell of the table: "100.25 ± 0.24", "at least 100.5", "hard", "" for unknown. The unit stands in the heading.
[[nodiscard]] std::string cellText(const compare::FigureValue& value);
// A value with the unit of its figure, for a tip or a label: "0.35 g/min".
[[nodiscard]] std::string figureText(const compare::FigureValue& value, const compare::Figure& figure);
// "dosing rate [g/min]".
[[nodiscard]] std::string headingText(const compare::Figure& figure);

// "logarithmic: peak temperature = 128.3 °C + 25.2 °C ln(dosing rate / (g/min))".
[[nodiscard]] std::string trendText(const compare::Trend& trend, const TrendNames& names);
// How far the runs stray from it, and from how many it is; of a saturating one whether its half is determined.
[[nodiscard]] std::string misfitText(const compare::Trend& trend, const TrendNames& names);
// Why this form: "chosen by AICc: logarithmic 30.1, saturating 33.2, straight 41.0".
[[nodiscard]] std::string choiceText(const compare::Trend& trend);
// "peak temperature comes to 95 °C at a dosing rate of 0.267 g/min (0.20 to 0.35 g/min)", and whether that is an
// extrapolation.
[[nodiscard]] std::string atLimitText(const compare::AtLimit& at_limit, const TrendNames& names);
// One sentence: the next rate to try, and why.
[[nodiscard]] std::string nextText(const compare::NextRate& next, double limit, const TrendNames& names);

} // namespace potwatch::format
