// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/estimate.h"
#include "analysis/values/fault.h"

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace potwatch::compare {

// One run in the scatter.
struct TrendPoint {
    double x = 0.0;
    double y = 0.0;
    double u = 0.0; // standard uncertainty of y within the run
    bool at_least =
        false; // right-censored: y is only known to be that or more (a pot that boiled, at its boiling point)

    bool operator==(const TrendPoint&) const = default;
};

// a + b x | a + b ln x | a + b x / (x + half_x)
enum class TrendForm { straight, logarithmic, saturating };

// How well one form serves.
struct TrendScore {
    TrendForm form = TrendForm::straight;
    double log_likelihood = 0.0;
    std::optional<double> aicc; // empty where there are too few runs for it
    double between_u = 0.0;     // scatter between runs that this form leaves, as Trend::between_u
};

// y against x, with an error in y that is the run's own uncertainty and a scatter between runs, which takes up what the
// form misses as well: variance u^2 + between_u^2. Fitted by maximum likelihood; a censored run counts by the
// probability that it lies at or above its value.
// Source: J. Tobin, Econometrica 26 (1958) 24; C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297 (AICc).
struct Trend {
    TrendForm form = TrendForm::straight;
    bool by_aicc = false;          // false: asked for, or the smallest form, as AICc is not defined for so few runs
    bool asked = false;            // the form was asked for
    std::vector<TrendScore> tried; // the forms that could be fitted, straight first
    double a = 0.0;
    double b = 0.0;
    std::optional<double> half_x;     // of the saturating form: the x at which half of b is reached
    std::optional<double> half_x_low; // 95 % interval; an end that the runs do not determine is empty
    std::optional<double> half_x_high;
    double between_u = 0.0; // corrected for the degrees of freedom
    double typical_u = 0.0; // root mean square of the measured points' own u
    double log_likelihood = 0.0;
    std::size_t measured = 0;
    std::size_t censored = 0;
    double degrees = 0.0; // of freedom: measured points less parameters; 0 = intervals cannot be had
    double x_low = 0.0;   // range of x that was tried, boiled runs included
    double x_high = 0.0;
    std::vector<TrendPoint> points; // as given
    std::vector<double> misfits;    // y - trend, one a point; of a censored one 0 where the trend lies above it
};

// Errors: missing (no two measured points at different x, or all censored: says which; fewer measured points than the
// form that was asked for needs), range (a value that is not finite, a negative u; an x not above 0 for a form that was
// asked for and needs it). `form` empty: chosen by AICc over straight, logarithmic (only where every x > 0) and
// saturating (likewise), as far as more points than parameters were measured; n is all points, boiled ones too, and the
// scatter counts as a parameter.
[[nodiscard]] Result<Trend> fitTrend(std::span<const TrendPoint> points, std::optional<TrendForm> form = std::nullopt);

// The trend's y at x; x > 0 but for the straight form.
[[nodiscard]] double valueAt(const Trend& trend, double x);

// The trend and its 95 % bands on a grid: `low` to `high` holds the trend (confidence), `run_low` to `run_high` one
// more run (prediction). Bands are empty where degrees is 0. Shape: all of one length, or empty.
struct TrendBands {
    std::vector<double> x;
    std::vector<double> y;
    std::vector<double> low;
    std::vector<double> high;
    std::vector<double> run_low;
    std::vector<double> run_high;
};
// Even steps from `from` to `to`, or even factors where wantsFactors(from, to); shape: count >= 2.
[[nodiscard]] TrendBands trendBands(const Trend& trend, double from, double to, std::size_t count = 41);

// A range above 0 so wide that an axis with even factors shows it better.
[[nodiscard]] bool wantsFactors(double from, double to);

// "straight", "logarithmic", "saturating".
[[nodiscard]] std::string_view nameOf(TrendForm form);

} // namespace potwatch::compare
